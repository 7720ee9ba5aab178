/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-en-US-symbolic: Ricasso 12, Faroese, English (United States), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 2390247e1d21ac7c8b1945c777f0ca76d6775889aa94350a0f2202826d825e7b
 */
#ifndef MM_RICASSO12_FO_EN_US_SYMBOLIC_H
#define MM_RICASSO12_FO_EN_US_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_EN_US_SYMBOLIC_SIZE 471u
extern const uint8_t mm_ricasso12_fo_en_US_symbolic[MM_RICASSO12_FO_EN_US_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
