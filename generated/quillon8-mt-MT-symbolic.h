/* SPDX-License-Identifier: MIT */
/*
 * quillon8-mt-MT-symbolic: Quillon 8, Maltese (Malta), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: de0ef74a7e37b604e2bda246027bce09c7039138971089c3effec8a81f664e71
 */
#ifndef MM_QUILLON8_MT_MT_SYMBOLIC_H
#define MM_QUILLON8_MT_MT_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_MT_MT_SYMBOLIC_SIZE 580u
extern const uint8_t mm_quillon8_mt_MT_symbolic[MM_QUILLON8_MT_MT_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
