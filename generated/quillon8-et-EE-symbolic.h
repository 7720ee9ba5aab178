/* SPDX-License-Identifier: MIT */
/*
 * quillon8-et-EE-symbolic: Quillon 8, Estonian (Estonia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 513831779d388fbe3f8e1d3d9972b903ed1b676e32325f237e5211fec0c6a3eb
 */
#ifndef MM_QUILLON8_ET_EE_SYMBOLIC_H
#define MM_QUILLON8_ET_EE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_ET_EE_SYMBOLIC_SIZE 476u
extern const uint8_t mm_quillon8_et_EE_symbolic[MM_QUILLON8_ET_EE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
