/* SPDX-License-Identifier: MIT */
/*
 * quillon8-bs-BA-symbolic: Quillon 8, Bosnian (Bosnia and Herzegovina), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 4eadd13cd7d32f0de20db7b0f61d220c1625e9912e39b97462c1b833fa8a9761
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

#define MM_QUILLON8_BS_BA_SYMBOLIC_SIZE 557u
extern const uint8_t mm_quillon8_bs_BA_symbolic[MM_QUILLON8_BS_BA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
