/* SPDX-License-Identifier: MIT */
/*
 * quillon8-hu-HU-symbolic: Quillon 8, Hungarian (Hungary), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 7da85b32ea7e72902f9e339731a1a55da31703e436fb802591b4f3ae4cbac953
 */
#ifndef MM_QUILLON8_HU_HU_SYMBOLIC_H
#define MM_QUILLON8_HU_HU_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_HU_HU_SYMBOLIC_SIZE 462u
extern const uint8_t mm_quillon8_hu_HU_symbolic[MM_QUILLON8_HU_HU_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
