/* SPDX-License-Identifier: MIT */
/*
 * quillon8-de-DE-symbolic: Quillon 8, German (Germany), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: eb5fe39c7435c3461a8cb9a6366f3f569cf28e6ea6abc4034e09396cd724aa10
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

#define MM_QUILLON8_DE_DE_SYMBOLIC_SIZE 536u
extern const uint8_t mm_quillon8_de_DE_symbolic[MM_QUILLON8_DE_DE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
