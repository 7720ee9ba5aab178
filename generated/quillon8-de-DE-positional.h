/* SPDX-License-Identifier: MIT */
/*
 * quillon8-de-DE-positional: Quillon 8, German (Germany), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 442fb2e4d2ec8beab25da992f28af5298989d30e8b9887131b1928407a3fa789
 */
#ifndef MM_QUILLON8_DE_DE_POSITIONAL_H
#define MM_QUILLON8_DE_DE_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_DE_DE_POSITIONAL_SIZE 179u
extern const uint8_t mm_quillon8_de_DE_positional[MM_QUILLON8_DE_DE_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
