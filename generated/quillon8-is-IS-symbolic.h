/* SPDX-License-Identifier: MIT */
/*
 * quillon8-is-IS-symbolic: Quillon 8, Icelandic (Iceland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 1df6995be3d73810ae6bf1f8a93d74abd4c9d7512f331eb40894933d7c41b7de
 */
#ifndef MM_QUILLON8_IS_IS_SYMBOLIC_H
#define MM_QUILLON8_IS_IS_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_IS_IS_SYMBOLIC_SIZE 612u
extern const uint8_t mm_quillon8_is_IS_symbolic[MM_QUILLON8_IS_IS_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
