/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fr-FR-symbolic: Quillon 8, French (France), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c800720bea7700a94cb10ab09e6ddcb5a7826400c86de368fdf6eb4d54cc4526
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

#define MM_QUILLON8_FR_FR_SYMBOLIC_SIZE 634u
extern const uint8_t mm_quillon8_fr_FR_symbolic[MM_QUILLON8_FR_FR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
