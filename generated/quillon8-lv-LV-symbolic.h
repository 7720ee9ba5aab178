/* SPDX-License-Identifier: MIT */
/*
 * quillon8-lv-LV-symbolic: Quillon 8, Latvian (Latvia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 77840065419037995946aaa18135c5d4e54941a3f6642a4952cc984ba132a8a7
 */
#ifndef MM_QUILLON8_LV_LV_SYMBOLIC_H
#define MM_QUILLON8_LV_LV_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_LV_LV_SYMBOLIC_SIZE 518u
extern const uint8_t mm_quillon8_lv_LV_symbolic[MM_QUILLON8_LV_LV_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
