/* SPDX-License-Identifier: MIT */
/*
 * quillon8-nl-BE-symbolic: Quillon 8, Dutch (Belgium), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 6e02686ad4c2b42a3199d2a83fd8d3692d74d6e4e108e98710568bc092a44c1c
 */
#ifndef MM_QUILLON8_NL_BE_SYMBOLIC_H
#define MM_QUILLON8_NL_BE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_NL_BE_SYMBOLIC_SIZE 486u
extern const uint8_t mm_quillon8_nl_BE_symbolic[MM_QUILLON8_NL_BE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
