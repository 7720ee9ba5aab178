/* SPDX-License-Identifier: MIT */
/*
 * quillon8-bs-BA-symbolic: Quillon 8, Bosnian (Bosnia and Herzegovina), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: a2ba0be28531f0266c36e8ff988cc3a082219c7d4a24bcf2c9de8ceecb928cc3
 */
#ifndef MM_QUILLON8_BS_BA_SYMBOLIC_H
#define MM_QUILLON8_BS_BA_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_BS_BA_SYMBOLIC_SIZE 600u
extern const uint8_t mm_quillon8_bs_BA_symbolic[MM_QUILLON8_BS_BA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
