/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fo-FO-symbolic: Quillon 8, Faroese (Faroe Islands), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 8e434f46a7db084bd0ebe2c20e32f615ee03c615336d15a3e6b2df8fcf93a7be
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

#define MM_QUILLON8_FO_FO_SYMBOLIC_SIZE 600u
extern const uint8_t mm_quillon8_fo_FO_symbolic[MM_QUILLON8_FO_FO_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
