/* SPDX-License-Identifier: MIT */
/*
 * quillon8-he-IL-symbolic: Quillon 8, Hebrew (Israel), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 8f79ca32f4597081cbb0900a89d18e7de2cd9170e18f612252b0989bf349fc6a
 */
#ifndef MM_QUILLON8_HE_IL_SYMBOLIC_H
#define MM_QUILLON8_HE_IL_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_HE_IL_SYMBOLIC_SIZE 504u
extern const uint8_t mm_quillon8_he_IL_symbolic[MM_QUILLON8_HE_IL_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
