/* SPDX-License-Identifier: MIT */
/*
 * quillon8-uk-UA-symbolic: Quillon 8, Ukrainian (Ukraine), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 936d02ebcdc16f89f106988bf85eb2987bf8b2f9c1c42a2ddbba5227f16243ff
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

#define MM_QUILLON8_UK_UA_SYMBOLIC_SIZE 536u
extern const uint8_t mm_quillon8_uk_UA_symbolic[MM_QUILLON8_UK_UA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
