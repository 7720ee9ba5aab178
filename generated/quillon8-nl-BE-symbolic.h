/* SPDX-License-Identifier: MIT */
/*
 * quillon8-nl-BE-symbolic: Quillon 8, Dutch (Belgium), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 0bebdbb9dc3aa7836ed3b69f5b024183305c546538c2ea6c69827d8d46e99b5a
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

#define MM_QUILLON8_NL_BE_SYMBOLIC_SIZE 628u
extern const uint8_t mm_quillon8_nl_BE_symbolic[MM_QUILLON8_NL_BE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
