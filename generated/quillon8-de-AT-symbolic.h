/* SPDX-License-Identifier: MIT */
/*
 * quillon8-de-AT-symbolic: Quillon 8, German (Austria), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 61510b845e279a68c2d4fad3f02c3ae495f26ac44b38fed93f7d7638acf27244
 */
#ifndef MM_QUILLON8_DE_AT_SYMBOLIC_H
#define MM_QUILLON8_DE_AT_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_DE_AT_SYMBOLIC_SIZE 608u
extern const uint8_t mm_quillon8_de_AT_symbolic[MM_QUILLON8_DE_AT_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
