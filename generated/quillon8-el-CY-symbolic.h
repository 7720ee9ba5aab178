/* SPDX-License-Identifier: MIT */
/*
 * quillon8-el-CY-symbolic: Quillon 8, Greek (Cyprus), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: a5c522ee6a55a3a47303b598c16684a0704b17dcba9bf537a7a94f1407ad4424
 */
#ifndef MM_QUILLON8_EL_CY_SYMBOLIC_H
#define MM_QUILLON8_EL_CY_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EL_CY_SYMBOLIC_SIZE 497u
extern const uint8_t mm_quillon8_el_CY_symbolic[MM_QUILLON8_EL_CY_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
