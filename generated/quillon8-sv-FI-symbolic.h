/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sv-FI-symbolic: Quillon 8, Swedish (Finland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 4c3c174444f0726bc9d8171246ed1eff945da1b44367de9e31773d195ddf06c5
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

#define MM_QUILLON8_SV_FI_SYMBOLIC_SIZE 708u
extern const uint8_t mm_quillon8_sv_FI_symbolic[MM_QUILLON8_SV_FI_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
