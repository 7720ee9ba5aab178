/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * How to read the reports of the keyboard visitor.
 * Made by matrixmap 0.1.0 from its report descriptor, 53 bytes,
 * SHA-256 ba38325a0846568be4c91bc80f6c460d4e47bf898353d3bfd60a994eec0b2ad7
 */
#ifndef MM_KEYBOARD_VISITOR_H
#define MM_KEYBOARD_VISITOR_H

#include "mm_report.h"

#if MM_REPORT_TABLE_VERSION != 2
#error "this table and mm_report.h are of different versions: run `matrixmap keyboard --emit c` again"
#endif
#if MM_REPORTS < 1
#error "this keyboard has 1 reports with keys: define MM_REPORTS as that or more"
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_KEYBOARD_VISITOR_SIZE 26u
extern const uint8_t mm_keyboard_visitor[MM_KEYBOARD_VISITOR_SIZE];

#ifdef __cplusplus
}
#endif

#endif
