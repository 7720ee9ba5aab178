/* SPDX-License-Identifier: MIT */
/*
 * quillon8-es-419-symbolic: Quillon 8, Spanish (Latin America), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 5e3657566b2b324eeb41dd10f8ff31f8f785ab2973726659f80ed542a993d552
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

#define MM_QUILLON8_ES_419_SYMBOLIC_SIZE 592u
extern const uint8_t mm_quillon8_es_419_symbolic[MM_QUILLON8_ES_419_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
