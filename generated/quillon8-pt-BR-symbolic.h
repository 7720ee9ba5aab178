/* SPDX-License-Identifier: MIT */
/*
 * quillon8-pt-BR-symbolic: Quillon 8, Portuguese (Brazil), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 5163c17491e079342fd8ddde1bee60b8d5f5977d4de2a5c8b1a5df7071d02f50
 */
#ifndef MM_QUILLON8_PT_BR_SYMBOLIC_H
#define MM_QUILLON8_PT_BR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_PT_BR_SYMBOLIC_SIZE 600u
extern const uint8_t mm_quillon8_pt_BR_symbolic[MM_QUILLON8_PT_BR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
