/* SPDX-License-Identifier: MIT */
/*
 * quillon8-et-EE-symbolic: Quillon 8, Estonian (Estonia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c4ad2aaa7e13d5345255fb9d7465e22568500ba5f2fc9db815302926d3880ac3
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

#define MM_QUILLON8_ET_EE_SYMBOLIC_SIZE 602u
extern const uint8_t mm_quillon8_et_EE_symbolic[MM_QUILLON8_ET_EE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
