/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * quillon8-de-DE-symbolic: Quillon 8, German (Germany), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name. Do not edit: change the layout and build again.
 * SHA-256 of the plan: 146b7294cc671d8a80549e335ac0fe131225f8fd0dad67e58183a164241e1f84
 */
#ifndef MM_QUILLON8_DE_DE_SYMBOLIC_H
#define MM_QUILLON8_DE_DE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 3
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_DE_DE_SYMBOLIC_SIZE 610u
extern const uint8_t mm_quillon8_de_DE_symbolic[MM_QUILLON8_DE_DE_SYMBOLIC_SIZE];
#define MM_QUILLON8_DE_DE_SYMBOLIC_ID16 0x94A3u

#ifdef __cplusplus
}
#endif

#endif
