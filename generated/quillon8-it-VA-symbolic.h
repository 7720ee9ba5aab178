/* SPDX-License-Identifier: MIT */
/*
 * quillon8-it-VA-symbolic: Quillon 8, Italian (Vatican City), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 6336eaf17c79c8ca81e526ced6fb9beb17c6c0b9567da88661f64125d443eb42
 */
#ifndef MM_QUILLON8_IT_VA_SYMBOLIC_H
#define MM_QUILLON8_IT_VA_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_IT_VA_SYMBOLIC_SIZE 592u
extern const uint8_t mm_quillon8_it_VA_symbolic[MM_QUILLON8_IT_VA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
