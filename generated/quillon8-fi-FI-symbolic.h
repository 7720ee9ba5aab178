/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fi-FI-symbolic: Quillon 8, Finnish (Finland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 4bb8b1d334a0cb92ec3e8ce1305dd71b6619cab74fe24c7c07840b9d11ffba46
 */
#ifndef MM_QUILLON8_FI_FI_SYMBOLIC_H
#define MM_QUILLON8_FI_FI_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FI_FI_SYMBOLIC_SIZE 644u
extern const uint8_t mm_quillon8_fi_FI_symbolic[MM_QUILLON8_FI_FI_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
