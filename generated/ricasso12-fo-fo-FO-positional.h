/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-fo-FO-positional: Ricasso 12, Faroese, Faroese (Faroe Islands), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: d88c8ed87a5a2eca4747365c461312674c3c3d13cbdce3b64011019c4ed755c7
 */
#ifndef MM_RICASSO12_FO_FO_FO_POSITIONAL_H
#define MM_RICASSO12_FO_FO_FO_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_FO_FO_POSITIONAL_SIZE 227u
extern const uint8_t mm_ricasso12_fo_fo_FO_positional[MM_RICASSO12_FO_FO_FO_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
