/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-fr-FR-symbolic: Ricasso 12, Faroese, French (France), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: e627c02e34eda9f26ee8afb6569594c7e9dbaf6e0e5cee67fae1b7595adfa717
 */
#ifndef MM_RICASSO12_FO_FR_FR_SYMBOLIC_H
#define MM_RICASSO12_FO_FR_FR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_FR_FR_SYMBOLIC_SIZE 703u
extern const uint8_t mm_ricasso12_fo_fr_FR_symbolic[MM_RICASSO12_FO_FR_FR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
