/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-fr-FR-positional: Ricasso 12, Faroese, French (France), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: d2d67b6d12d7d06545ba2ab924b37d474a9db3f93fedadff874dcb08d66f6d35
 */
#ifndef MM_RICASSO12_FO_FR_FR_POSITIONAL_H
#define MM_RICASSO12_FO_FR_FR_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_FR_FR_POSITIONAL_SIZE 227u
extern const uint8_t mm_ricasso12_fo_fr_FR_positional[MM_RICASSO12_FO_FR_FR_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
