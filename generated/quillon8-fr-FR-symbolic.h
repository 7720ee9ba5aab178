/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fr-FR-symbolic: Quillon 8, French (France), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 2bd9539944215bc54b012c7c6e733548311712e8de5a6bda204ebaaed7bca964
 */
#ifndef MM_QUILLON8_FR_FR_SYMBOLIC_H
#define MM_QUILLON8_FR_FR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FR_FR_SYMBOLIC_SIZE 566u
extern const uint8_t mm_quillon8_fr_FR_symbolic[MM_QUILLON8_FR_FR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
