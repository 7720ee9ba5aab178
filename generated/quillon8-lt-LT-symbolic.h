/* SPDX-License-Identifier: MIT */
/*
 * quillon8-lt-LT-symbolic: Quillon 8, Lithuanian (Lithuania), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 222f26769492099e8f1f4ffb4debf68c2cedf0653ff24e97e3305423cf44074e
 */
#ifndef MM_QUILLON8_LT_LT_SYMBOLIC_H
#define MM_QUILLON8_LT_LT_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_LT_LT_SYMBOLIC_SIZE 476u
extern const uint8_t mm_quillon8_lt_LT_symbolic[MM_QUILLON8_LT_LT_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
