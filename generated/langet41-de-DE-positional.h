/* SPDX-License-Identifier: MIT */
/*
 * langet41-de-DE-positional: Langet 41, German (Germany), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: d0ba94718d12123619495e76a6d3c2f56c1a4eac14e7c1eeb65d4d7f01e08420
 */
#ifndef MM_LANGET41_DE_DE_POSITIONAL_H
#define MM_LANGET41_DE_DE_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_DE_DE_POSITIONAL_SIZE 127u
extern const uint8_t mm_langet41_de_DE_positional[MM_LANGET41_DE_DE_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
