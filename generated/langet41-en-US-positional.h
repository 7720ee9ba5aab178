/* SPDX-License-Identifier: MIT */
/*
 * langet41-en-US-positional: Langet 41, English (United States), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: f7b0aa32680d32e5dfd817faf5eb246c0e92012874b621bcc44a8014d872e7ba
 */
#ifndef MM_LANGET41_EN_US_POSITIONAL_H
#define MM_LANGET41_EN_US_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_EN_US_POSITIONAL_SIZE 127u
extern const uint8_t mm_langet41_en_US_positional[MM_LANGET41_EN_US_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
