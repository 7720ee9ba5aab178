/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sk-SK-symbolic: Quillon 8, Slovak (Slovakia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 4e5851157a0732560b41e59c99feb49011364b4edc0fce6dd8049793824b97e6
 */
#ifndef MM_QUILLON8_SK_SK_SYMBOLIC_H
#define MM_QUILLON8_SK_SK_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SK_SK_SYMBOLIC_SIZE 644u
extern const uint8_t mm_quillon8_sk_SK_symbolic[MM_QUILLON8_SK_SK_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
