/* SPDX-License-Identifier: MIT */
/*
 * quillon8-el-GR-symbolic: Quillon 8, Greek (Greece), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c6336d11b359a7277519c256896032ba31eb74f2b67a5a3a69afee8e3cc3dfb8
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

#define MM_QUILLON8_EL_GR_SYMBOLIC_SIZE 631u
extern const uint8_t mm_quillon8_el_GR_symbolic[MM_QUILLON8_EL_GR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
