/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sv-FI-symbolic: Quillon 8, Swedish (Finland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 92296ab17f197c1a979096389c2a3f7e3e4b407b93e81126bf64941264fbcce0
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

#define MM_QUILLON8_SV_FI_SYMBOLIC_SIZE 647u
extern const uint8_t mm_quillon8_sv_FI_symbolic[MM_QUILLON8_SV_FI_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
