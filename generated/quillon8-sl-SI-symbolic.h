/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sl-SI-symbolic: Quillon 8, Slovenian (Slovenia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 0869bf32a998419c5c640398bdae79818fa0dbda3021318be3d14aa308055f29
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

#define MM_QUILLON8_SL_SI_SYMBOLIC_SIZE 600u
extern const uint8_t mm_quillon8_sl_SI_symbolic[MM_QUILLON8_SL_SI_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
