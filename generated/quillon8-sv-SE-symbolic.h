/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sv-SE-symbolic: Quillon 8, Swedish (Sweden), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: a0e129f649a1e0f3eabbf6095369f8075fddda0c7022dd64a112383a2eaa6607
 */
#ifndef MM_QUILLON8_SV_SE_SYMBOLIC_H
#define MM_QUILLON8_SV_SE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SV_SE_SYMBOLIC_SIZE 542u
extern const uint8_t mm_quillon8_sv_SE_symbolic[MM_QUILLON8_SV_SE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
