/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fr-MC-symbolic: Quillon 8, French (Monaco), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: d92996b03277aa76ca857dd2d5a84764ba66d4dfdfeab4231eed464f0df57eb0
 */
#ifndef MM_QUILLON8_FR_MC_SYMBOLIC_H
#define MM_QUILLON8_FR_MC_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FR_MC_SYMBOLIC_SIZE 634u
extern const uint8_t mm_quillon8_fr_MC_symbolic[MM_QUILLON8_FR_MC_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
