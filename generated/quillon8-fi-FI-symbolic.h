/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fi-FI-symbolic: Quillon 8, Finnish (Finland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 8b7cad64348fcf3a22dd59dba25ad8dc9c1bdcf948604ea512ff0c3d09627a0b
 */
#ifndef MM_QUILLON8_FI_FI_SYMBOLIC_H
#define MM_QUILLON8_FI_FI_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FI_FI_SYMBOLIC_SIZE 708u
extern const uint8_t mm_quillon8_fi_FI_symbolic[MM_QUILLON8_FI_FI_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
