/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-IE-symbolic: Quillon 8, English (Ireland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 596094c25ff91b47274059161135fd7b7f078a1df3840e0dee78428f9e10a54d
 */
#ifndef MM_QUILLON8_EN_IE_SYMBOLIC_H
#define MM_QUILLON8_EN_IE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_IE_SYMBOLIC_SIZE 574u
extern const uint8_t mm_quillon8_en_IE_symbolic[MM_QUILLON8_EN_IE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
