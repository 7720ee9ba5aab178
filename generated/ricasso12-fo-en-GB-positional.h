/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-en-GB-positional: Ricasso 12, Faroese, English (United Kingdom), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 827aeaf1546f0a849c033433bc8922d2ad748f584f605e32f3b7e35d69bbc214
 */
#ifndef MM_RICASSO12_FO_EN_GB_POSITIONAL_H
#define MM_RICASSO12_FO_EN_GB_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_EN_GB_POSITIONAL_SIZE 227u
extern const uint8_t mm_ricasso12_fo_en_GB_positional[MM_RICASSO12_FO_EN_GB_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
