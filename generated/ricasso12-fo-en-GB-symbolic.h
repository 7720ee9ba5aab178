/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-en-GB-symbolic: Ricasso 12, Faroese, English (United Kingdom), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: a46267dc3e70f521011f4b5bde05f4a272d6848302cf9d428782dd71123d054d
 */
#ifndef MM_RICASSO12_FO_EN_GB_SYMBOLIC_H
#define MM_RICASSO12_FO_EN_GB_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_RICASSO12_FO_EN_GB_SYMBOLIC_SIZE 717u
extern const uint8_t mm_ricasso12_fo_en_GB_symbolic[MM_RICASSO12_FO_EN_GB_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
