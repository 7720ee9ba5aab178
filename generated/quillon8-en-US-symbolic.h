/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-US-symbolic: Quillon 8, English (United States), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 17849b57c9acf2f56287c82547b33c8853e095897634e947124b867fbb3f1dd7
 */
#ifndef MM_QUILLON8_EN_US_SYMBOLIC_H
#define MM_QUILLON8_EN_US_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_US_SYMBOLIC_SIZE 464u
extern const uint8_t mm_quillon8_en_US_symbolic[MM_QUILLON8_EN_US_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
