/* SPDX-License-Identifier: MIT */
/*
 * quillon8-tr-TR-symbolic: Quillon 8, Turkish (T<U+00FC>rkiye), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: f887de2a347ad10c00881b49bf0109493041dd9a2d53db59596e826004e6034e
 */
#ifndef MM_QUILLON8_TR_TR_SYMBOLIC_H
#define MM_QUILLON8_TR_TR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_TR_TR_SYMBOLIC_SIZE 583u
extern const uint8_t mm_quillon8_tr_TR_symbolic[MM_QUILLON8_TR_TR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
