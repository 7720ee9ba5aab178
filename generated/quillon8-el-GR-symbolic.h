/* SPDX-License-Identifier: MIT */
/*
 * quillon8-el-GR-symbolic: Quillon 8, Greek (Greece), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 6fe71129a0156cbc230cf8c8798586cd5e8d93f2c66f9df31bc8c2dcdc528a76
 */
#ifndef MM_QUILLON8_EL_GR_SYMBOLIC_H
#define MM_QUILLON8_EL_GR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EL_GR_SYMBOLIC_SIZE 621u
extern const uint8_t mm_quillon8_el_GR_symbolic[MM_QUILLON8_EL_GR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
