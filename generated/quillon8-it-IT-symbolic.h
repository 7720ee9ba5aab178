/* SPDX-License-Identifier: MIT */
/*
 * quillon8-it-IT-symbolic: Quillon 8, Italian (Italy), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: f064128f983865fbcf2c90e0284f7afa706f8bd1980a82da3ee52eaffdd318ab
 */
#ifndef MM_QUILLON8_IT_IT_SYMBOLIC_H
#define MM_QUILLON8_IT_IT_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_IT_IT_SYMBOLIC_SIZE 582u
extern const uint8_t mm_quillon8_it_IT_symbolic[MM_QUILLON8_IT_IT_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
