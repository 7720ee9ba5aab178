/* SPDX-License-Identifier: MIT */
/*
 * quillon8-he-IL-symbolic: Quillon 8, Hebrew (Israel), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 3bb0fde31949280ea42c7daa2d3d975383fe0749171d57ae029af262a2422762
 */
#ifndef MM_QUILLON8_HE_IL_SYMBOLIC_H
#define MM_QUILLON8_HE_IL_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_HE_IL_SYMBOLIC_SIZE 538u
extern const uint8_t mm_quillon8_he_IL_symbolic[MM_QUILLON8_HE_IL_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
