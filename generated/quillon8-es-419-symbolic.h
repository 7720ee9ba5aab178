/* SPDX-License-Identifier: MIT */
/*
 * quillon8-es-419-symbolic: Quillon 8, Spanish (Latin America), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 3cde8bdd6752ed0b5276ee917c3a6d3f089b6cc7433e6b78f7ee145148fd49a3
 */
#ifndef MM_QUILLON8_ES_419_SYMBOLIC_H
#define MM_QUILLON8_ES_419_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_ES_419_SYMBOLIC_SIZE 602u
extern const uint8_t mm_quillon8_es_419_symbolic[MM_QUILLON8_ES_419_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
