/* SPDX-License-Identifier: MIT */
/*
 * quillon8-et-EE-symbolic: Quillon 8, Estonian (Estonia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c516c96d7ea81f647d15293fb82bd337497c65d82a14ca278c9280e8adbd2196
 */
#ifndef MM_QUILLON8_ET_EE_SYMBOLIC_H
#define MM_QUILLON8_ET_EE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_ET_EE_SYMBOLIC_SIZE 592u
extern const uint8_t mm_quillon8_et_EE_symbolic[MM_QUILLON8_ET_EE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
