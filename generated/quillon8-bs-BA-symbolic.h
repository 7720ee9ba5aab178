/* SPDX-License-Identifier: MIT */
/*
 * quillon8-bs-BA-symbolic: Quillon 8, Bosnian (Bosnia and Herzegovina), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 8b678b5ca74613578909319453e38dcf03692253bc74ce9e2f3b9a4d6f15d205
 */
#ifndef MM_QUILLON8_BS_BA_SYMBOLIC_H
#define MM_QUILLON8_BS_BA_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_BS_BA_SYMBOLIC_SIZE 610u
extern const uint8_t mm_quillon8_bs_BA_symbolic[MM_QUILLON8_BS_BA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
