/* SPDX-License-Identifier: MIT */
/*
 * quillon8-sr-RS-symbolic: Quillon 8, Serbian, Cyrillic (Serbia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 62a5743816368a76ff4f43fec3753afb01a9fd78d9907aaf16b3620ba5db1cf3
 */
#ifndef MM_QUILLON8_SR_RS_SYMBOLIC_H
#define MM_QUILLON8_SR_RS_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_SR_RS_SYMBOLIC_SIZE 665u
extern const uint8_t mm_quillon8_sr_RS_symbolic[MM_QUILLON8_SR_RS_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
