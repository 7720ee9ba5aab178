/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-GB-symbolic: Quillon 8, English (United Kingdom), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c6c510d535f462e26369126a761554e8df9f0f4206d83a37626cc5d44eaacf8b
 */
#ifndef MM_QUILLON8_EN_GB_SYMBOLIC_H
#define MM_QUILLON8_EN_GB_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_GB_SYMBOLIC_SIZE 610u
extern const uint8_t mm_quillon8_en_GB_symbolic[MM_QUILLON8_EN_GB_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
