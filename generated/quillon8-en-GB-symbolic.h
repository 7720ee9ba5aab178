/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-GB-symbolic: Quillon 8, English (United Kingdom), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 6b0e7fe3fb257d3d9b9a98da639afa8028d6e4c6c03c237056351a5ba9294086
 */
#ifndef MM_QUILLON8_EN_GB_SYMBOLIC_H
#define MM_QUILLON8_EN_GB_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_GB_SYMBOLIC_SIZE 552u
extern const uint8_t mm_quillon8_en_GB_symbolic[MM_QUILLON8_EN_GB_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
