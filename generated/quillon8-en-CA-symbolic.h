/* SPDX-License-Identifier: MIT */
/*
 * quillon8-en-CA-symbolic: Quillon 8, English (Canada), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 00ec44f7d61a5e84591331525d98ebc9541923f4901831b13e61bdd3e3149cbd
 */
#ifndef MM_QUILLON8_EN_CA_SYMBOLIC_H
#define MM_QUILLON8_EN_CA_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_EN_CA_SYMBOLIC_SIZE 464u
extern const uint8_t mm_quillon8_en_CA_symbolic[MM_QUILLON8_EN_CA_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
