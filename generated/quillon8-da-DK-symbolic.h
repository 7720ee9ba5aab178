/* SPDX-License-Identifier: MIT */
/*
 * quillon8-da-DK-symbolic: Quillon 8, Danish (Denmark), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 16a557ea4a2c2db8161f86c225bad2af9533b4ca37fe5e748de47346294a2686
 */
#ifndef MM_QUILLON8_DA_DK_SYMBOLIC_H
#define MM_QUILLON8_DA_DK_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_DA_DK_SYMBOLIC_SIZE 614u
extern const uint8_t mm_quillon8_da_DK_symbolic[MM_QUILLON8_DA_DK_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
