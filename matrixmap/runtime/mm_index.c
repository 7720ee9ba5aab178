/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#include "mm_index.h"

void mm_get_layout(const mm_layout *index, uint8_t number, mm_layout *layout)
{
    const uint8_t *from = (const uint8_t *)(index + number);
    uint8_t *to = (uint8_t *)layout;
    uint8_t i;

    for (i = 0; i < sizeof *layout; i++) {
        to[i] = MM_READ(from + i);
    }
}

uint8_t mm_find_in_index(const mm_layout *index, uint16_t layouts, uint16_t id16)
{
    mm_layout layout;
    uint8_t number;

    for (number = 0; number < layouts && number < MM_NO_LAYOUT; number++) {
        mm_get_layout(index, number, &layout);
        if (layout.id16 == id16) {
            return number;
        }
    }
    return MM_NO_LAYOUT;
}
