/* SPDX-License-Identifier: MIT */
/*
 * quillon8-ja-JP-symbolic: Quillon 8, Japanese (Japan), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: fd65f977dd2f7017786823235825ad7fe5d1d4d54c08c24e7b175952ab833eac
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

#define MM_QUILLON8_JA_JP_SYMBOLIC_SIZE 426u
extern const uint8_t mm_quillon8_ja_JP_symbolic[MM_QUILLON8_JA_JP_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
