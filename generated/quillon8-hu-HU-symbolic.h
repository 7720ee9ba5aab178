/* SPDX-License-Identifier: MIT */
/*
 * quillon8-hu-HU-symbolic: Quillon 8, Hungarian (Hungary), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 0966441f5369023683b00e2be4102cc74bab41880b73ad4baaa15da91d195dbd
 */
#ifndef MM_QUILLON8_HU_HU_SYMBOLIC_H
#define MM_QUILLON8_HU_HU_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_HU_HU_SYMBOLIC_SIZE 606u
extern const uint8_t mm_quillon8_hu_HU_symbolic[MM_QUILLON8_HU_HU_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
