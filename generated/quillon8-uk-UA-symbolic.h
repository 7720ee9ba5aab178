/* SPDX-License-Identifier: MIT */
/*
 * quillon8-uk-UA-symbolic: Quillon 8, Ukrainian (Ukraine), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: ecd8786a62f61d7fc480d04225c1b1ffa84d823041ed935aa7474700efe4a749
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

#define MM_QUILLON8_UK_UA_SYMBOLIC_SIZE 574u
extern const uint8_t mm_quillon8_uk_UA_symbolic[MM_QUILLON8_UK_UA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
