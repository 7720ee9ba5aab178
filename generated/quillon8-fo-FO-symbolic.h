/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fo-FO-symbolic: Quillon 8, Faroese (Faroe Islands), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 3764d2c6c65beef818a815f27a5020e0e79310f4d0464cf1905ebf43522ba836
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

#define MM_QUILLON8_FO_FO_SYMBOLIC_SIZE 556u
extern const uint8_t mm_quillon8_fo_FO_symbolic[MM_QUILLON8_FO_FO_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
