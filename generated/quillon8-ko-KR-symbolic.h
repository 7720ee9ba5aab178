/* SPDX-License-Identifier: MIT */
/*
 * quillon8-ko-KR-symbolic: Quillon 8, Korean (Korea), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 1361d1f12244454a67a838370bfb27da2ef9b479b662e5cc03c35a7ed12c617f
 */
#ifndef MM_QUILLON8_KO_KR_SYMBOLIC_H
#define MM_QUILLON8_KO_KR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_KO_KR_SYMBOLIC_SIZE 474u
extern const uint8_t mm_quillon8_ko_KR_symbolic[MM_QUILLON8_KO_KR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
