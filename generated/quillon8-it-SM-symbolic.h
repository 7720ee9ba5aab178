/* SPDX-License-Identifier: MIT */
/*
 * quillon8-it-SM-symbolic: Quillon 8, Italian (San Marino), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 0e9db9c6d784054dc5c53b7a29076a47ff7f8900dde00cd2e8d44dd9c18ba10a
 */
#ifndef MM_QUILLON8_IT_SM_SYMBOLIC_H
#define MM_QUILLON8_IT_SM_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_IT_SM_SYMBOLIC_SIZE 592u
extern const uint8_t mm_quillon8_it_SM_symbolic[MM_QUILLON8_IT_SM_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
