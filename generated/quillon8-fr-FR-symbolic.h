/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fr-FR-symbolic: Quillon 8, French (France), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 67f260515a72143fc33799f499ccf176d3d53089c8de0cc5671779fcc0ae8044
 */
#ifndef MM_QUILLON8_FR_FR_SYMBOLIC_H
#define MM_QUILLON8_FR_FR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FR_FR_SYMBOLIC_SIZE 472u
extern const uint8_t mm_quillon8_fr_FR_symbolic[MM_QUILLON8_FR_FR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
