/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fr-BE-symbolic: Quillon 8, French (Belgium), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 3d97af796b3899a5dd90c469a5b59736964b015612589a46b4f862bb91c848cb
 */
#ifndef MM_QUILLON8_FR_BE_SYMBOLIC_H
#define MM_QUILLON8_FR_BE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FR_BE_SYMBOLIC_SIZE 638u
extern const uint8_t mm_quillon8_fr_BE_symbolic[MM_QUILLON8_FR_BE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
