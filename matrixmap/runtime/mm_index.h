/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#ifndef MM_INDEX_H
#define MM_INDEX_H

#include "mm_runtime.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * One of the layouts that were built together. `id` and `title` are UTF-8, end with a zero byte, and are in the same
 * memory as the tables: on a target with separate program memory, read them byte by byte with MM_READ.
 */
typedef struct mm_layout {
    const char *id;
    const char *title;
    const uint8_t *table; /* for mm_init and mm_change_layout, together with */
    uint16_t size;        /* its size in bytes */
    uint16_t id16;        /* the id in 16 bits, to be stored: see mm_find_layout */
} mm_layout;

/*
 * Copies entry `number` of an index (mm_layouts.h has one, with MM_LAYOUTS entries, counted from 0) to `layout`.
 * The index is in program memory, so it costs no RAM; this function reads it from there.
 */
void mm_get_layout(const mm_layout *index, uint8_t number, mm_layout *layout);

/*
 * The number of the layout with this 16-bit id, for mm_get_layout; MM_NO_LAYOUT if the firmware does not have it.
 *
 * To remember a layout, store `id16` and not the number: numbers change when a layout is added or removed. `id16` is made
 * from the id alone and changes only with it. It is the CRC of ITU-T V.41 over the characters of the id, computed as for a
 * table, but with 0x0001 in place of 0x0000 and 0xFFFE in place of 0xFFFF: empty or erased memory finds no layout. No two
 * layouts of one build have the same `id16`. The header of a layout has it as MM_..._ID16.
 */
#define mm_find_layout(id16) mm_find_in_index(mm_layouts, MM_LAYOUTS, (id16))
#define MM_NO_LAYOUT 0xFFu

/* The same for any index of `layouts` entries; the first 255 are searched. */
uint8_t mm_find_in_index(const mm_layout *index, uint16_t layouts, uint16_t id16);

/*
 * What pads do in one of these layouts. Where a layout has a section pads, mm_layouts.h has the array mm_pad_maps, with an
 * entry for each layout of mm_layouts under the same number.
 */
typedef struct mm_pad_choice {
    const uint8_t *map; /* for mm_pads_init and mm_pads_change_map, together with */
    uint16_t size;      /* its size in bytes; null and 0: the layout leaves pads alone */
} mm_pad_choice;

/* Copies entry `number` of such an array to `choice`; it lies in program memory, as the index does. */
void mm_get_pad_map(const mm_pad_choice *maps, uint8_t number, mm_pad_choice *choice);

#ifdef __cplusplus
}
#endif

#endif
