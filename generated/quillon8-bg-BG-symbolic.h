/* SPDX-License-Identifier: MIT */
/*
 * quillon8-bg-BG-symbolic: Quillon 8, Bulgarian (Bulgaria), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 23a634a1b6c0f77c33f5b958c24858a0968669e33356e858e4eaea142db065ef
 */
#ifndef MM_QUILLON8_BG_BG_SYMBOLIC_H
#define MM_QUILLON8_BG_BG_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_BG_BG_SYMBOLIC_SIZE 520u
extern const uint8_t mm_quillon8_bg_BG_symbolic[MM_QUILLON8_BG_BG_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
