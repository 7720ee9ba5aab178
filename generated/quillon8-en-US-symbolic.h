/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-US-symbolic: Quillon 8, English (United States), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: e0ff1d2f1889c8c7d919a0f51b5a783b45332709948b22158e48ea7ea23b1ccc
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

#define MM_QUILLON8_EN_US_SYMBOLIC_SIZE 474u
extern const uint8_t mm_quillon8_en_US_symbolic[MM_QUILLON8_EN_US_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
