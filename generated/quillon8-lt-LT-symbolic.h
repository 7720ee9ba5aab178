/* SPDX-License-Identifier: MIT */
/*
 * quillon8-lt-LT-symbolic: Quillon 8, Lithuanian (Lithuania), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 9f85b5723d73eea5c0a2eb819269c79cef5fb9106396d46737c51518b7143d19
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

#define MM_QUILLON8_LT_LT_SYMBOLIC_SIZE 592u
extern const uint8_t mm_quillon8_lt_LT_symbolic[MM_QUILLON8_LT_LT_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
