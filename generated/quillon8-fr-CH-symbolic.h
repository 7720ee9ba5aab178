/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fr-CH-symbolic: Quillon 8, French (Switzerland), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 3fe260c6baf07bfa0b4e524e787b5a80dad962b2a22b8c0933f37e1b6911c71e
 */
#ifndef MM_QUILLON8_FR_CH_SYMBOLIC_H
#define MM_QUILLON8_FR_CH_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FR_CH_SYMBOLIC_SIZE 552u
extern const uint8_t mm_quillon8_fr_CH_symbolic[MM_QUILLON8_FR_CH_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
