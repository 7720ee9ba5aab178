/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-US-symbolic: Quillon 8, English (United States), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: e6325ec765955f42e6196817b58c0e0cabe039421cf43fd62ab5ad1ed6eb7b95
 */
#ifndef MM_QUILLON8_EN_US_SYMBOLIC_H
#define MM_QUILLON8_EN_US_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_US_SYMBOLIC_SIZE 432u
extern const uint8_t mm_quillon8_en_US_symbolic[MM_QUILLON8_EN_US_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
