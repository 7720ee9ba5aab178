/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * langet41-en-US-symbolic: Langet 41, English (United States), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name. Do not edit: change the layout and build again.
 * SHA-256 of the plan: 51dc3d9520f9435c041ca0d08976bcc3974b1bb2251b0307c048fc8237bb12ef
 */
#ifndef MM_LANGET41_EN_US_SYMBOLIC_H
#define MM_LANGET41_EN_US_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 3
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_EN_US_SYMBOLIC_SIZE 538u
extern const uint8_t mm_langet41_en_US_symbolic[MM_LANGET41_EN_US_SYMBOLIC_SIZE];
#define MM_LANGET41_EN_US_SYMBOLIC_ID16 0x4C73u

#ifdef __cplusplus
}
#endif

#endif
