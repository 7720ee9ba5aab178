/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sq-AL-symbolic: Quillon 8, Albanian (Albania), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: b71f71f66b83f2d5a66b85bbbe78ae70e8ec20961f8cbbb0b10e4d947913829e
 */
#ifndef MM_QUILLON8_SQ_AL_SYMBOLIC_H
#define MM_QUILLON8_SQ_AL_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SQ_AL_SYMBOLIC_SIZE 634u
extern const uint8_t mm_quillon8_sq_AL_symbolic[MM_QUILLON8_SQ_AL_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
