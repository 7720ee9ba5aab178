/* SPDX-License-Identifier: MIT */
/*
 * langet41-fr-FR-positional: Langet 41, French (France), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: f0faebd403d925c16bebbf777c97ad7a523e9ce50650a67558487e0bc755c6dc
 */
#ifndef MM_LANGET41_FR_FR_POSITIONAL_H
#define MM_LANGET41_FR_FR_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_FR_FR_POSITIONAL_SIZE 129u
extern const uint8_t mm_langet41_fr_FR_positional[MM_LANGET41_FR_FR_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
