/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * quillon8-en-US-positional: Quillon 8, English (United States), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: d709c02583ebe24fc0b8d25e819bbeff9d975f9b4ae39a7f5fcebb71ea7bc062
 */
#ifndef MM_QUILLON8_EN_US_POSITIONAL_H
#define MM_QUILLON8_EN_US_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 3
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_US_POSITIONAL_SIZE 181u
extern const uint8_t mm_quillon8_en_US_positional[MM_QUILLON8_EN_US_POSITIONAL_SIZE];
#define MM_QUILLON8_EN_US_POSITIONAL_ID16 0x08E0u

#ifdef __cplusplus
}
#endif

#endif
