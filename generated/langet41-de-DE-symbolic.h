/* SPDX-License-Identifier: MIT */
/*
 * langet41-de-DE-symbolic: Langet 41, German (Germany), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 2d3dc5ea354db3cc01dd013d403af786f88259618a76ead783a2c9465762a115
 */
#ifndef MM_LANGET41_DE_DE_SYMBOLIC_H
#define MM_LANGET41_DE_DE_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_LANGET41_DE_DE_SYMBOLIC_SIZE 627u
extern const uint8_t mm_langet41_de_DE_symbolic[MM_LANGET41_DE_DE_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
