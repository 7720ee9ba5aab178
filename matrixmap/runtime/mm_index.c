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
    const uint8_t *wanted = (const uint8_t *)&id16; /* in the order of bytes in which the index has it */
    uint8_t number;

    for (number = 0; number < layouts && number < MM_NO_LAYOUT; number++) {
        const uint8_t *at = (const uint8_t *)&index[number].id16;
        if (MM_READ(at) == wanted[0] && MM_READ(at + 1) == wanted[1]) {
            return number;
        }
    }
    return MM_NO_LAYOUT;
}
