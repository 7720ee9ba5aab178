/* SPDX-License-Identifier: MIT */
/*
 * quillon8-de-DE-symbolic: Quillon 8, German (Germany), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 62faefbbc11b3c9ebda9d993a2db3394658cb917ce07c4ed0447cb5a7d5382ec
 */
#ifndef MM_QUILLON8_DE_DE_SYMBOLIC_H
#define MM_QUILLON8_DE_DE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_DE_DE_SYMBOLIC_SIZE 598u
extern const uint8_t mm_quillon8_de_DE_symbolic[MM_QUILLON8_DE_DE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
