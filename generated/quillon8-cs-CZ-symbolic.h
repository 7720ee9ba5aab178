/* SPDX-License-Identifier: MIT */
/*
 * quillon8-cs-CZ-symbolic: Quillon 8, Czech (Czechia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 31ed41f8d96d341801883e32bd7e6c99bba044b2468a7c578ab30a3aae264a12
 */
#ifndef MM_QUILLON8_CS_CZ_SYMBOLIC_H
#define MM_QUILLON8_CS_CZ_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_CS_CZ_SYMBOLIC_SIZE 656u
extern const uint8_t mm_quillon8_cs_CZ_symbolic[MM_QUILLON8_CS_CZ_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
