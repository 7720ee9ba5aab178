/* SPDX-License-Identifier: MIT */
/*
 * quillon8-el-CY-symbolic: Quillon 8, Greek (Cyprus), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 6c17e5c9fdff2ed7702f4204bd5b214cc478058b5d8c20315aa0ef0aee6373ce
 */
#ifndef MM_QUILLON8_EL_CY_SYMBOLIC_H
#define MM_QUILLON8_EL_CY_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EL_CY_SYMBOLIC_SIZE 631u
extern const uint8_t mm_quillon8_el_CY_symbolic[MM_QUILLON8_EL_CY_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
