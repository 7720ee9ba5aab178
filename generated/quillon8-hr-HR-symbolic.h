/* SPDX-License-Identifier: MIT */
/*
 * quillon8-hr-HR-symbolic: Quillon 8, Croatian (Croatia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: db58abedfa264f647d2bb6dc259f98978209a47b3ecd68c1f22dbecde857d4e1
 */
#ifndef MM_QUILLON8_HR_HR_SYMBOLIC_H
#define MM_QUILLON8_HR_HR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 2
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_HR_HR_SYMBOLIC_SIZE 598u
extern const uint8_t mm_quillon8_hr_HR_symbolic[MM_QUILLON8_HR_HR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
