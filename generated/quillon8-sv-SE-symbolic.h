/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sv-SE-symbolic: Quillon 8, Swedish (Sweden), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 23e9540e6128e33c1665d88dd7acb2b8db1db48c91b1279edb2ac99f9b937a8b
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

#define MM_QUILLON8_SV_SE_SYMBOLIC_SIZE 600u
extern const uint8_t mm_quillon8_sv_SE_symbolic[MM_QUILLON8_SV_SE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
