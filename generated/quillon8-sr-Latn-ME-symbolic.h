/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sr-Latn-ME-symbolic: Quillon 8, Montenegrin (Montenegro), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 1494aa5cee307b29a12bb8a9b92758bedc0e9a72797a9b9d224a70fa7df8024c
 */
#ifndef MM_QUILLON8_SR_LATN_ME_SYMBOLIC_H
#define MM_QUILLON8_SR_LATN_ME_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SR_LATN_ME_SYMBOLIC_SIZE 610u
extern const uint8_t mm_quillon8_sr_Latn_ME_symbolic[MM_QUILLON8_SR_LATN_ME_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
