/* SPDX-License-Identifier: MIT */
/*
 * langet41-en-US-positional: Langet 41, English (United States), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: b6d4357029e1eec921a4f63744e2ba8c6e9898fadb5a254193ec1c77dcfb6e0f
 */
#ifndef MM_LANGET41_EN_US_POSITIONAL_H
#define MM_LANGET41_EN_US_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_EN_US_POSITIONAL_SIZE 113u
extern const uint8_t mm_langet41_en_US_positional[MM_LANGET41_EN_US_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
