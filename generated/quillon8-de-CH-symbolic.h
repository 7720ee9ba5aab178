/* SPDX-License-Identifier: MIT */
/*
 * quillon8-de-CH-symbolic: Quillon 8, German (Switzerland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 44619843f8e5d15443e60d3be75281926295e1ac82db9e46d0bff8f32dc493b8
 */
#ifndef MM_QUILLON8_DE_CH_SYMBOLIC_H
#define MM_QUILLON8_DE_CH_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_DE_CH_SYMBOLIC_SIZE 620u
extern const uint8_t mm_quillon8_de_CH_symbolic[MM_QUILLON8_DE_CH_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
