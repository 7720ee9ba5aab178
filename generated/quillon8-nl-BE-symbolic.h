/* SPDX-License-Identifier: MIT */
/*
 * quillon8-nl-BE-symbolic: Quillon 8, Dutch (Belgium), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 167f00465f73b5f04238c6a749795e6db93739f576a7f7749ae00537f689c8a7
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

#define MM_QUILLON8_NL_BE_SYMBOLIC_SIZE 570u
extern const uint8_t mm_quillon8_nl_BE_symbolic[MM_QUILLON8_NL_BE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
