/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * quillon8-en-US-positional: Quillon 8, English (United States), positional
 * Made by matrixmap 0.1.0 from the layout of this name. Do not edit: change the layout and build again.
 * SHA-256 of the plan: 17a10ea32c45642584b4d14b359c15c6f994b16f84d739c98207e41f8ba2cdc9
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
