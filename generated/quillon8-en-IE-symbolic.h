/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-IE-symbolic: Quillon 8, English (Ireland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 5128f16e4344a9e98a7fe93b68bc33c53629bea6c6d33fca110d1d1962428677
 */
#ifndef MM_QUILLON8_EN_IE_SYMBOLIC_H
#define MM_QUILLON8_EN_IE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_IE_SYMBOLIC_SIZE 564u
extern const uint8_t mm_quillon8_en_IE_symbolic[MM_QUILLON8_EN_IE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
