/* SPDX-License-Identifier: MIT */
/*
 * quillon8-de-DE-symbolic: Quillon 8, German (Germany), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: f77396be8ce75006e1fa3d13e8cbe74c257d03e2ab8ce7bad07a9a17bba4835a
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
