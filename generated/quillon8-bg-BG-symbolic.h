/* SPDX-License-Identifier: MIT */
/*
 * quillon8-bg-BG-symbolic: Quillon 8, Bulgarian (Bulgaria), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: ce3bcafc89405dcb01b2e8514f4d4560207b07653bcd798521fb2131bceb6570
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

#define MM_QUILLON8_BG_BG_SYMBOLIC_SIZE 510u
extern const uint8_t mm_quillon8_bg_BG_symbolic[MM_QUILLON8_BG_BG_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
