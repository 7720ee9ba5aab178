/* SPDX-License-Identifier: MIT */
/*
 * quillon8-ro-RO-symbolic: Quillon 8, Romanian (Romania), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 0c569980d3c19b0e76be72919c20bb0c5f5188d7f583892e28cedba3946e4644
 */
#ifndef MM_QUILLON8_RO_RO_SYMBOLIC_H
#define MM_QUILLON8_RO_RO_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_RO_RO_SYMBOLIC_SIZE 615u
extern const uint8_t mm_quillon8_ro_RO_symbolic[MM_QUILLON8_RO_RO_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
