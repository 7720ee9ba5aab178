/* SPDX-License-Identifier: MIT */
/*
 * quillon8-nb-NO-symbolic: Quillon 8, Norwegian (Norway), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: e2134d22057a21cb7b692f0bfa0a0a29e6170a39dbf35a9f5cfab69d68306f4e
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

#define MM_QUILLON8_NB_NO_SYMBOLIC_SIZE 564u
extern const uint8_t mm_quillon8_nb_NO_symbolic[MM_QUILLON8_NB_NO_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
