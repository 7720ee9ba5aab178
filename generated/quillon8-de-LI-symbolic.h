/* SPDX-License-Identifier: MIT */
/*
 * quillon8-de-LI-symbolic: Quillon 8, German (Liechtenstein), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 15c744ace963312073c69fe79618dce0b1202519071446e8d747249e4243c3f0
 */
#ifndef MM_QUILLON8_DE_LI_SYMBOLIC_H
#define MM_QUILLON8_DE_LI_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_DE_LI_SYMBOLIC_SIZE 620u
extern const uint8_t mm_quillon8_de_LI_symbolic[MM_QUILLON8_DE_LI_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
