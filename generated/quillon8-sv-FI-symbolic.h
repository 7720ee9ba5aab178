/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sv-FI-symbolic: Quillon 8, Swedish (Finland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: cf471245254124b2f3ca23f8b5621765b555d933e94d260da064653edc8eb5fa
 */
#ifndef MM_QUILLON8_SV_FI_SYMBOLIC_H
#define MM_QUILLON8_SV_FI_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SV_FI_SYMBOLIC_SIZE 510u
extern const uint8_t mm_quillon8_sv_FI_symbolic[MM_QUILLON8_SV_FI_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
