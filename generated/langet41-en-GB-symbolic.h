/* SPDX-License-Identifier: MIT */
/*
 * langet41-en-GB-symbolic: Langet 41, English (United Kingdom), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: feaec745570842c636ec6c0cd3c5f40bcb0b72650a7a8a7b5a005c7a2126b282
 */
#ifndef MM_LANGET41_EN_GB_SYMBOLIC_H
#define MM_LANGET41_EN_GB_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_EN_GB_SYMBOLIC_SIZE 836u
extern const uint8_t mm_langet41_en_GB_symbolic[MM_LANGET41_EN_GB_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
