/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-fo-FO-symbolic: Ricasso 12, Faroese, Faroese (Faroe Islands), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: c70bfd84be5e18db42d0ba9fc2ab045875761439f3d122e048d5e26c27160b2e
 */
#ifndef MM_RICASSO12_FO_FO_FO_SYMBOLIC_H
#define MM_RICASSO12_FO_FO_FO_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_FO_FO_SYMBOLIC_SIZE 679u
extern const uint8_t mm_ricasso12_fo_fo_FO_symbolic[MM_RICASSO12_FO_FO_FO_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
