/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-GB-symbolic: Quillon 8, English (United Kingdom), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c9fa6d8717d94b7717dabde4ef1e464f9a6847c4bd22d1c9af18e8d3385d5b6d
 */
#ifndef MM_QUILLON8_EN_GB_SYMBOLIC_H
#define MM_QUILLON8_EN_GB_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_GB_SYMBOLIC_SIZE 476u
extern const uint8_t mm_quillon8_en_GB_symbolic[MM_QUILLON8_EN_GB_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
