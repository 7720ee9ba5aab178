/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sr-Latn-RS-symbolic: Quillon 8, Serbian, Latin (Serbia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: bbb49d4182deb6e1b48f1b66f60ecd2c9726f367d0c37f0c1f990ef8f1153fa4
 */
#ifndef MM_QUILLON8_SR_LATN_RS_SYMBOLIC_H
#define MM_QUILLON8_SR_LATN_RS_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SR_LATN_RS_SYMBOLIC_SIZE 610u
extern const uint8_t mm_quillon8_sr_Latn_RS_symbolic[MM_QUILLON8_SR_LATN_RS_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
