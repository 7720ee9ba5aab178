/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fr-CH-symbolic: Quillon 8, French (Switzerland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 92c1e0ac5efb2563653945544fdef8903143dd461ed8dbcc8861251c91b65234
 */
#ifndef MM_QUILLON8_FR_CH_SYMBOLIC_H
#define MM_QUILLON8_FR_CH_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FR_CH_SYMBOLIC_SIZE 620u
extern const uint8_t mm_quillon8_fr_CH_symbolic[MM_QUILLON8_FR_CH_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
