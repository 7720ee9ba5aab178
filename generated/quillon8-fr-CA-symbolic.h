/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fr-CA-symbolic: Quillon 8, French (Canada), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: e56b1be4ece2696389b8052d92d0aef047c6cf436e126f61004f08e0c60454c5
 */
#ifndef MM_QUILLON8_FR_CA_SYMBOLIC_H
#define MM_QUILLON8_FR_CA_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_FR_CA_SYMBOLIC_SIZE 578u
extern const uint8_t mm_quillon8_fr_CA_symbolic[MM_QUILLON8_FR_CA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
