/* SPDX-License-Identifier: MIT */
/*
 * quillon8-lv-LV-symbolic: Quillon 8, Latvian (Latvia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 5121a8666cd6ce3894e331a4006a38c7552f74c962e0c16647448831251f0a69
 */
#ifndef MM_QUILLON8_LV_LV_SYMBOLIC_H
#define MM_QUILLON8_LV_LV_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_LV_LV_SYMBOLIC_SIZE 572u
extern const uint8_t mm_quillon8_lv_LV_symbolic[MM_QUILLON8_LV_LV_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
