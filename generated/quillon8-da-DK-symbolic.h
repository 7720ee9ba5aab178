/* SPDX-License-Identifier: MIT */
/*
 * quillon8-da-DK-symbolic: Quillon 8, Danish (Denmark), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 03accf2d45179b7026852267487e8e89fd598e65a267e99cac8541e8d997fc1d
 */
#ifndef MM_QUILLON8_DA_DK_SYMBOLIC_H
#define MM_QUILLON8_DA_DK_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_DA_DK_SYMBOLIC_SIZE 558u
extern const uint8_t mm_quillon8_da_DK_symbolic[MM_QUILLON8_DA_DK_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
