/* SPDX-License-Identifier: MIT */
/*
 * langet41-fr-FR-symbolic: Langet 41, French (France), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: ccc5092e31b6498b784d6013f1ea6e9363049881736dca4f915f3f4dd50ec4ac
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

#define MM_LANGET41_FR_FR_SYMBOLIC_SIZE 818u
extern const uint8_t mm_langet41_fr_FR_symbolic[MM_LANGET41_FR_FR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
