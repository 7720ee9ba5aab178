/* SPDX-License-Identifier: MIT */
/*
 * quillon8-uk-UA-symbolic: Quillon 8, Ukrainian (Ukraine), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 1a80f2cfed47008e63001e1ff886b2727f933d0df67d7431bdef4e08df2a1f24
 */
#ifndef MM_QUILLON8_UK_UA_SYMBOLIC_H
#define MM_QUILLON8_UK_UA_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_UK_UA_SYMBOLIC_SIZE 584u
extern const uint8_t mm_quillon8_uk_UA_symbolic[MM_QUILLON8_UK_UA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
