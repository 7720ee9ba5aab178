/* SPDX-License-Identifier: MIT */
/*
 * quillon8-mk-MK-symbolic: Quillon 8, Macedonian (North Macedonia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 110ff6676d0b557d30fd73e05025fb8b2c8e0575c0949b3bd3c90045fdcfbb97
 */
#ifndef MM_QUILLON8_MK_MK_SYMBOLIC_H
#define MM_QUILLON8_MK_MK_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_MK_MK_SYMBOLIC_SIZE 499u
extern const uint8_t mm_quillon8_mk_MK_symbolic[MM_QUILLON8_MK_MK_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
