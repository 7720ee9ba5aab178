/* SPDX-License-Identifier: MIT */
/*
 * quillon8-nb-NO-symbolic: Quillon 8, Norwegian (Norway), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 7d69d405221092835d01fa4da8ca6599ec4c000ea58e11d3ab9aebd18e9cfc5e
 */
#ifndef MM_QUILLON8_NB_NO_SYMBOLIC_H
#define MM_QUILLON8_NB_NO_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_NB_NO_SYMBOLIC_SIZE 608u
extern const uint8_t mm_quillon8_nb_NO_symbolic[MM_QUILLON8_NB_NO_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
