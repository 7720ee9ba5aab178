/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#ifndef MM_INDEX_H
#define MM_INDEX_H

#include "mm_runtime.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * One layout of those that were built together. `id` and `title` are UTF-8, end with a zero byte, and lie in the same
 * memory as the tables: on a target with separate program memory read them byte by byte with MM_READ.
 */
typedef struct mm_layout {
    const char *id;
    const char *title;
    const uint8_t *table; /* for mm_init and mm_change_layout, together with */
    uint16_t size;        /* its size in bytes */
} mm_layout;

/*
 * Copies entry `number` of an index (mm_layouts.h has one, with MM_LAYOUTS entries, counted from 0) to `layout`.
 * The index lies in program memory, so that it costs no RAM; this reads it wherever it is.
 */
void mm_get_layout(const mm_layout *index, uint8_t number, mm_layout *layout);

#ifdef __cplusplus
}
#endif

#endif
