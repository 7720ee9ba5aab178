/* SPDX-License-Identifier: MIT */
/*
 * langet41-en-GB-positional: Langet 41, English (United Kingdom), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 6b24a9b75d0c2e7d54ec2e1ba3420db9d7d2113b4cc6a5ef88aecff37c8660b2
 */
#ifndef MM_LANGET41_EN_GB_POSITIONAL_H
#define MM_LANGET41_EN_GB_POSITIONAL_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_EN_GB_POSITIONAL_SIZE 113u
extern const uint8_t mm_langet41_en_GB_positional[MM_LANGET41_EN_GB_POSITIONAL_SIZE];

#ifdef __cplusplus
}
#endif

#endif
