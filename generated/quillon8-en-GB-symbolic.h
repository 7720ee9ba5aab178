/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-GB-symbolic: Quillon 8, English (United Kingdom), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 539a489340b59257865e91010c805c3f355759dd58d3e1dcd7c601b3ec4f484a
 */
#ifndef MM_QUILLON8_EN_GB_SYMBOLIC_H
#define MM_QUILLON8_EN_GB_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_GB_SYMBOLIC_SIZE 600u
extern const uint8_t mm_quillon8_en_GB_symbolic[MM_QUILLON8_EN_GB_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
