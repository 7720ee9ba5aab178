/* SPDX-License-Identifier: MIT */
/*
 * quillon8-nl-BE-symbolic: Quillon 8, Dutch (Belgium), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 47457c4c5b10f5e7584c138ce2f08fe904b2aaa6805ecb2e30e93bbd0a2fd562
 */
#ifndef MM_QUILLON8_NL_BE_SYMBOLIC_H
#define MM_QUILLON8_NL_BE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_NL_BE_SYMBOLIC_SIZE 638u
extern const uint8_t mm_quillon8_nl_BE_symbolic[MM_QUILLON8_NL_BE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
