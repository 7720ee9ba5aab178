/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fi-FI-symbolic: Quillon 8, Finnish (Finland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 2bf1c48fcccd5c2c699d60e3d51fae91eaba2802302011307b67119dff2e1db7
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

#define MM_QUILLON8_FI_FI_SYMBOLIC_SIZE 698u
extern const uint8_t mm_quillon8_fi_FI_symbolic[MM_QUILLON8_FI_FI_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
