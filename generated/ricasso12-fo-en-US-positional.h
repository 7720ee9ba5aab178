/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-en-US-positional: Ricasso 12, Faroese, English (United States), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: aeded781ad5cc4408a9022426a95bf359f436292641b144e644cbe94c524ec86
 */
#ifndef MM_RICASSO12_FO_EN_US_POSITIONAL_H
#define MM_RICASSO12_FO_EN_US_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_EN_US_POSITIONAL_SIZE 229u
extern const uint8_t mm_ricasso12_fo_en_US_positional[MM_RICASSO12_FO_EN_US_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
