/* SPDX-License-Identifier: MIT */
/*
 * quillon8-nb-NO-symbolic: Quillon 8, Norwegian (Norway), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 5eabb4cf321807ea282120633ed82968faa14219e7eaf55cca1d6500fc25d3ca
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

#define MM_QUILLON8_NB_NO_SYMBOLIC_SIZE 618u
extern const uint8_t mm_quillon8_nb_NO_symbolic[MM_QUILLON8_NB_NO_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
