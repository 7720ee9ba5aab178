/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sr-Latn-RS-symbolic: Quillon 8, Serbian, Latin (Serbia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 71395ceb6141bf6ed0a4089227f94d818b947eb7bfebf876604e18af0536fa2d
 */
#ifndef MM_QUILLON8_SR_LATN_RS_SYMBOLIC_H
#define MM_QUILLON8_SR_LATN_RS_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SR_LATN_RS_SYMBOLIC_SIZE 460u
extern const uint8_t mm_quillon8_sr_Latn_RS_symbolic[MM_QUILLON8_SR_LATN_RS_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
