/* SPDX-License-Identifier: MIT */
/*
 * quillon8-it-IT-symbolic: Quillon 8, Italian (Italy), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 2b24af12bfc6ab75c501e06fe93e9f09ece485315a791fb54c28836099bcbb5c
 */
#ifndef MM_QUILLON8_IT_IT_SYMBOLIC_H
#define MM_QUILLON8_IT_IT_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_IT_IT_SYMBOLIC_SIZE 592u
extern const uint8_t mm_quillon8_it_IT_symbolic[MM_QUILLON8_IT_IT_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
