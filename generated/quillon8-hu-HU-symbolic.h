/* SPDX-License-Identifier: MIT */
/*
 * quillon8-hu-HU-symbolic: Quillon 8, Hungarian (Hungary), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 89219a05cc07f4e512a1f742f58b14c1eb1889517297fdf361bc9456bacfc33e
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
