/* SPDX-License-Identifier: MIT */
/*
 * langet41-en-GB-positional: Langet 41, English (United Kingdom), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: f776fa55080935788624523b4474880c0ca0178a374131ea9b54555a666262ad
 */
#ifndef MM_LANGET41_EN_GB_POSITIONAL_H
#define MM_LANGET41_EN_GB_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_EN_GB_POSITIONAL_SIZE 127u
extern const uint8_t mm_langet41_en_GB_positional[MM_LANGET41_EN_GB_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
