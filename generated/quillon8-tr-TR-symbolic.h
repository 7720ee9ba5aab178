/* SPDX-License-Identifier: MIT */
/*
 * quillon8-tr-TR-symbolic: Quillon 8, Turkish (T<U+00FC>rkiye), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: a4ff0ead5f490357dbb9ff4e68e19e40b45c912509322f08d1a9d5c7a8dd05a9
 */
#ifndef MM_QUILLON8_TR_TR_SYMBOLIC_H
#define MM_QUILLON8_TR_TR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_TR_TR_SYMBOLIC_SIZE 457u
extern const uint8_t mm_quillon8_tr_TR_symbolic[MM_QUILLON8_TR_TR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
