/* SPDX-License-Identifier: MIT */
/*
 * quillon8-hr-HR-symbolic: Quillon 8, Croatian (Croatia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 05be6fc8c50249065deedfe9a0f03608f1b8ca36cdbc6df26088f7ddcb01899b
 */
#ifndef MM_QUILLON8_HR_HR_SYMBOLIC_H
#define MM_QUILLON8_HR_HR_SYMBOLIC_H

#include "mm_runtime.h"

#if MM_TABLE_VERSION != 1
#error "this table and the runtime beside it are of different versions: run `matrixmap build` again"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_QUILLON8_HR_HR_SYMBOLIC_SIZE 460u
extern const uint8_t mm_quillon8_hr_HR_symbolic[MM_QUILLON8_HR_HR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
