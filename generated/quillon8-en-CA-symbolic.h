/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-CA-symbolic: Quillon 8, English (Canada), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 9cf95b02c020c07a4863067d1ef36a1128758686c6022d22e697a002114b13fd
 */
#ifndef MM_QUILLON8_EN_CA_SYMBOLIC_H
#define MM_QUILLON8_EN_CA_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_CA_SYMBOLIC_SIZE 474u
extern const uint8_t mm_quillon8_en_CA_symbolic[MM_QUILLON8_EN_CA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
