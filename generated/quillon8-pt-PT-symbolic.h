/* SPDX-License-Identifier: MIT */
/*
 * quillon8-pt-PT-symbolic: Quillon 8, Portuguese (Portugal), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 1241521f04f53ba84957d7a56cd5f960ed14225e1b2acda78fc912c40bdf68a5
 */
#ifndef MM_QUILLON8_PT_PT_SYMBOLIC_H
#define MM_QUILLON8_PT_PT_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_PT_PT_SYMBOLIC_SIZE 574u
extern const uint8_t mm_quillon8_pt_PT_symbolic[MM_QUILLON8_PT_PT_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
