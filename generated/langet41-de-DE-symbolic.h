/* SPDX-License-Identifier: MIT */
/*
 * langet41-de-DE-symbolic: Langet 41, German (Germany), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 448f3dfe271afd69c16f8482e1997e8b3e03f9163d4b4b6ec66c7710f31a4815
 */
#ifndef MM_LANGET41_DE_DE_SYMBOLIC_H
#define MM_LANGET41_DE_DE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_DE_DE_SYMBOLIC_SIZE 764u
extern const uint8_t mm_langet41_de_DE_symbolic[MM_LANGET41_DE_DE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
