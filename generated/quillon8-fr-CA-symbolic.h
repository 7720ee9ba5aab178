/* SPDX-License-Identifier: MIT */
/*
 * quillon8-fr-CA-symbolic: Quillon 8, French (Canada), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: e725466a5ebaf3b13b9bda2e27f6d679bc84d1131a89cfe389dc1aaf4365550d
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

#define MM_QUILLON8_FR_CA_SYMBOLIC_SIZE 588u
extern const uint8_t mm_quillon8_fr_CA_symbolic[MM_QUILLON8_FR_CA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
