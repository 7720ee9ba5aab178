/* SPDX-License-Identifier: MIT */
/*
 * quillon8-pt-PT-symbolic: Quillon 8, Portuguese (Portugal), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c8859853ba32c4e4f9345c10681b034a85ad81676af897eec588c3659a5b9ceb
 */
#ifndef MM_QUILLON8_PT_PT_SYMBOLIC_H
#define MM_QUILLON8_PT_PT_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_PT_PT_SYMBOLIC_SIZE 624u
extern const uint8_t mm_quillon8_pt_PT_symbolic[MM_QUILLON8_PT_PT_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
