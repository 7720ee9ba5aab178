/* SPDX-License-Identifier: MIT */
/*
 * quillon8-ro-RO-symbolic: Quillon 8, Romanian (Romania), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 88f069874e0928eac4c0e1d9a84526d3fccaeb0ee3d12f39482a44113c7523e2
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

#define MM_QUILLON8_RO_RO_SYMBOLIC_SIZE 605u
extern const uint8_t mm_quillon8_ro_RO_symbolic[MM_QUILLON8_RO_RO_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
