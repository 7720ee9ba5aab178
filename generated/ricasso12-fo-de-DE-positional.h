/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-de-DE-positional: Ricasso 12, Faroese, German (Germany), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: ec031f586ae832cf5c01cd9d5bdf644d97402b35ff063bafab38c6203a8c746f
 */
#ifndef MM_RICASSO12_FO_DE_DE_POSITIONAL_H
#define MM_RICASSO12_FO_DE_DE_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_DE_DE_POSITIONAL_SIZE 227u
extern const uint8_t mm_ricasso12_fo_de_DE_positional[MM_RICASSO12_FO_DE_DE_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
