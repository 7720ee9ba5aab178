/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-de-DE-symbolic: Ricasso 12, Faroese, German (Germany), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 0e85192f590c4a2355eb63bd53bf3176db637733272a59477114f6bc7af24dca
 */
#ifndef MM_RICASSO12_FO_DE_DE_SYMBOLIC_H
#define MM_RICASSO12_FO_DE_DE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_DE_DE_SYMBOLIC_SIZE 669u
extern const uint8_t mm_ricasso12_fo_de_DE_symbolic[MM_RICASSO12_FO_DE_DE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
