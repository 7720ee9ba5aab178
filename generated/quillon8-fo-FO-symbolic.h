/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fo-FO-symbolic: Quillon 8, Faroese (Faroe Islands), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c55687e9955dc48e47ea8e0a640231f2aafe149708103e70d13ecccb9127ca29
 */
#ifndef MM_QUILLON8_FO_FO_SYMBOLIC_H
#define MM_QUILLON8_FO_FO_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FO_FO_SYMBOLIC_SIZE 590u
extern const uint8_t mm_quillon8_fo_FO_symbolic[MM_QUILLON8_FO_FO_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
