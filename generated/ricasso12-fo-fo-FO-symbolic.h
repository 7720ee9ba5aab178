/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * ricasso12-fo-fo-FO-symbolic: Ricasso 12, Faroese, Faroese (Faroe Islands), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name. Do not edit: change the layout and build again.
 * SHA-256 of the plan: 24f7eb6fc5443282f8b877803bde665d346dd4e04d94031d8553de634ad341b8
 */
#ifndef MM_RICASSO12_FO_FO_FO_SYMBOLIC_H
#define MM_RICASSO12_FO_FO_FO_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 3
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_FO_FO_SYMBOLIC_SIZE 703u
extern const uint8_t mm_ricasso12_fo_fo_FO_symbolic[MM_RICASSO12_FO_FO_FO_SYMBOLIC_SIZE];
#define MM_RICASSO12_FO_FO_FO_SYMBOLIC_ID16 0x4012u

#ifdef __cplusplus
}
#endif

#endif
