/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sv-FI-symbolic: Quillon 8, Swedish (Finland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c92a5cc4a8c3205f0af4d3f704cdde7bc0ad3d41c8844ef8d8ed3e1de538bf3c
 */
#ifndef MM_QUILLON8_SV_FI_SYMBOLIC_H
#define MM_QUILLON8_SV_FI_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SV_FI_SYMBOLIC_SIZE 698u
extern const uint8_t mm_quillon8_sv_FI_symbolic[MM_QUILLON8_SV_FI_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
