/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sk-SK-symbolic: Quillon 8, Slovak (Slovakia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 8e464d60a68ad4c899a4c671cf270ab399603b59825fbbe09ff357e486f7e8a8
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

#define MM_QUILLON8_SK_SK_SYMBOLIC_SIZE 654u
extern const uint8_t mm_quillon8_sk_SK_symbolic[MM_QUILLON8_SK_SK_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
