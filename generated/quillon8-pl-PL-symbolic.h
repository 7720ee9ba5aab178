/* SPDX-License-Identifier: MIT */
/*
 * quillon8-pl-PL-symbolic: Quillon 8, Polish (Poland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 5662ef442c6ad3b8246304180306d8e2c3574b9d10331e60440010f0143ec1bb
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

#define MM_QUILLON8_PL_PL_SYMBOLIC_SIZE 598u
extern const uint8_t mm_quillon8_pl_PL_symbolic[MM_QUILLON8_PL_PL_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
