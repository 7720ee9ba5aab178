/* SPDX-License-Identifier: MIT */
/*
 * quillon8-pl-PL-symbolic: Quillon 8, Polish (Poland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 7b2ab49279c992410f7310405a0c542b19e35393bb2bdc2c3dd5bf60f52bca68
 */
#ifndef MM_QUILLON8_PL_PL_SYMBOLIC_H
#define MM_QUILLON8_PL_PL_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_PL_PL_SYMBOLIC_SIZE 588u
extern const uint8_t mm_quillon8_pl_PL_symbolic[MM_QUILLON8_PL_PL_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
