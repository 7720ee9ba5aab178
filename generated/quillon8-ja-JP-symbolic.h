/* SPDX-License-Identifier: MIT */
/*
 * quillon8-ja-JP-symbolic: Quillon 8, Japanese (Japan), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 1cc7be0902e4b08494664f491b56a14e15c530678b8275a6bf229b7fc121971c
 */
#ifndef MM_QUILLON8_JA_JP_SYMBOLIC_H
#define MM_QUILLON8_JA_JP_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_JA_JP_SYMBOLIC_SIZE 426u
extern const uint8_t mm_quillon8_ja_JP_symbolic[MM_QUILLON8_JA_JP_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
