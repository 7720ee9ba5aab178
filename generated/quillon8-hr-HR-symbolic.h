/* SPDX-License-Identifier: MIT */
/*
 * quillon8-hr-HR-symbolic: Quillon 8, Croatian (Croatia), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 25a53d042ee9303557128b860a9dfe8e3b83a73ad82b29ef6216a0df8867de89
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

#define MM_QUILLON8_HR_HR_SYMBOLIC_SIZE 608u
extern const uint8_t mm_quillon8_hr_HR_symbolic[MM_QUILLON8_HR_HR_SYMBOLIC_SIZE];

#ifdef __cplusplus
}
#endif

#endif
