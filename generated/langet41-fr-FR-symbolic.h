/* SPDX-License-Identifier: MIT */
/*
 * langet41-fr-FR-symbolic: Langet 41, French (France), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c442cd69250be4f0e158754e6b5c0c16f059c7c0909896ab24c240c71b1cb502
 */
#ifndef MM_LANGET41_FR_FR_SYMBOLIC_H
#define MM_LANGET41_FR_FR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_FR_FR_SYMBOLIC_SIZE 658u
extern const uint8_t mm_langet41_fr_FR_symbolic[MM_LANGET41_FR_FR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
