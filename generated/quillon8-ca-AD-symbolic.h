/* SPDX-License-Identifier: MIT */
/*
 * quillon8-ca-AD-symbolic: Quillon 8, Catalan (Andorra), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 42096089274c5be526782724c5982d825c65d16a9497a412a374bcf7c6aa810e
 */
#ifndef MM_QUILLON8_CA_AD_SYMBOLIC_H
#define MM_QUILLON8_CA_AD_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_CA_AD_SYMBOLIC_SIZE 606u
extern const uint8_t mm_quillon8_ca_AD_symbolic[MM_QUILLON8_CA_AD_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
