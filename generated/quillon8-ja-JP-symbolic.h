/* SPDX-License-Identifier: MIT */
/*
 * quillon8-ja-JP-symbolic: Quillon 8, Japanese (Japan), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 217df775c9bf320c218cb36c78983aa3b7b95ab9ef0481b1b8c086dfad463a6a
 */
#ifndef MM_QUILLON8_JA_JP_SYMBOLIC_H
#define MM_QUILLON8_JA_JP_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_JA_JP_SYMBOLIC_SIZE 472u
extern const uint8_t mm_quillon8_ja_JP_symbolic[MM_QUILLON8_JA_JP_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
