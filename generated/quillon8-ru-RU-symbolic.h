/* SPDX-License-Identifier: MIT */
/*
 * quillon8-ru-RU-symbolic: Quillon 8, Russian (Russia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 612897d34c805f4ee4996bcdba8ef80894b8200891d4930b24f7f2e601205409
 */
#ifndef MM_QUILLON8_RU_RU_SYMBOLIC_H
#define MM_QUILLON8_RU_RU_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_RU_RU_SYMBOLIC_SIZE 509u
extern const uint8_t mm_quillon8_ru_RU_symbolic[MM_QUILLON8_RU_RU_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
