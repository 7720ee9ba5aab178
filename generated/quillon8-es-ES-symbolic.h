/* SPDX-License-Identifier: MIT */
/*
 * quillon8-es-ES-symbolic: Quillon 8, Spanish (Spain), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: ce3949da81818e274b2b8e8ba2cfee9e963b378f183cae0908724c31a9353f58
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

#define MM_QUILLON8_ES_ES_SYMBOLIC_SIZE 606u
extern const uint8_t mm_quillon8_es_ES_symbolic[MM_QUILLON8_ES_ES_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
