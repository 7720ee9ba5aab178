/* SPDX-License-Identifier: MIT */
/*
 * quillon8-ru-RU-symbolic: Quillon 8, Russian (Russia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: fba0080538c74e4bc3e55736f49e502219ad64e29378a992435554d8d7022bd7
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

#define MM_QUILLON8_RU_RU_SYMBOLIC_SIZE 499u
extern const uint8_t mm_quillon8_ru_RU_symbolic[MM_QUILLON8_RU_RU_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
