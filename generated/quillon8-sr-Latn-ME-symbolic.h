/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sr-Latn-ME-symbolic: Quillon 8, Montenegrin (Montenegro), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: b7a819494572f56db5e6038624560d09e94deee0d3423cd243154e993dcf04da
 */
#ifndef MM_QUILLON8_SR_LATN_ME_SYMBOLIC_H
#define MM_QUILLON8_SR_LATN_ME_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SR_LATN_ME_SYMBOLIC_SIZE 600u
extern const uint8_t mm_quillon8_sr_Latn_ME_symbolic[MM_QUILLON8_SR_LATN_ME_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
