/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fr-LU-symbolic: Quillon 8, French (Luxembourg), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: f91b88c6549fcf8e7c1a6751878e995b1962f1357895734d3e43ed46c052acde
 */
#ifndef MM_QUILLON8_FR_LU_SYMBOLIC_H
#define MM_QUILLON8_FR_LU_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FR_LU_SYMBOLIC_SIZE 620u
extern const uint8_t mm_quillon8_fr_LU_symbolic[MM_QUILLON8_FR_LU_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
