/* SPDX-License-Identifier: MIT */
/*
 * quillon8-lt-LT-symbolic: Quillon 8, Lithuanian (Lithuania), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 521414b6a0b203df71845c831714fc74d2811a815433952ba34531934880d870
 */
#ifndef MM_QUILLON8_LT_LT_SYMBOLIC_H
#define MM_QUILLON8_LT_LT_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_LT_LT_SYMBOLIC_SIZE 602u
extern const uint8_t mm_quillon8_lt_LT_symbolic[MM_QUILLON8_LT_LT_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
