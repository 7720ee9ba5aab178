/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sl-SI-symbolic: Quillon 8, Slovenian (Slovenia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 559207f25d0f043168b3b71b5f92c6882e6cfab36ad4284d681d4187c165dbf4
 */
#ifndef MM_QUILLON8_SL_SI_SYMBOLIC_H
#define MM_QUILLON8_SL_SI_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SL_SI_SYMBOLIC_SIZE 610u
extern const uint8_t mm_quillon8_sl_SI_symbolic[MM_QUILLON8_SL_SI_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
