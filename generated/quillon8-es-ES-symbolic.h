/* SPDX-License-Identifier: MIT */
/*
 * quillon8-es-ES-symbolic: Quillon 8, Spanish (Spain), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 4baac2e95f29126ebc51785c7cf682eff81b6ab0785060497489025ba2e9d7c0
 */
#ifndef MM_QUILLON8_ES_ES_SYMBOLIC_H
#define MM_QUILLON8_ES_ES_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_ES_ES_SYMBOLIC_SIZE 596u
extern const uint8_t mm_quillon8_es_ES_symbolic[MM_QUILLON8_ES_ES_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
