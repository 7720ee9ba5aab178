/* SPDX-License-Identifier: MIT */
/*
 * quillon8-pt-BR-symbolic: Quillon 8, Portuguese (Brazil), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: bbbaa87be8897415fbf88a1e810e7918a0e102c0aa1e8a6f9f7d74ca527d6a40
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

#define MM_QUILLON8_PT_BR_SYMBOLIC_SIZE 610u
extern const uint8_t mm_quillon8_pt_BR_symbolic[MM_QUILLON8_PT_BR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
