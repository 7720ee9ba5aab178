/* SPDX-License-Identifier: MIT */
/*
 * quillon8-nl-NL-symbolic: Quillon 8, Dutch (Netherlands), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c133f205ff03ee2bdebab698d6559336445bea536436fe7ff0afc87125fdc65f
 */
#ifndef MM_QUILLON8_NL_NL_SYMBOLIC_H
#define MM_QUILLON8_NL_NL_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_NL_NL_SYMBOLIC_SIZE 618u
extern const uint8_t mm_quillon8_nl_NL_symbolic[MM_QUILLON8_NL_NL_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
