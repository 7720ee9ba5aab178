/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#include "mm_index.h"

/* Copies bytes out of program memory. */
static void copy(void *to, const void *from, uint8_t count)
{
    uint8_t *target = (uint8_t *)to;
    const uint8_t *source = (const uint8_t *)from;
    uint8_t i;

    for (i = 0; i < count; i++) {
        target[i] = MM_READ(source + i);
    }
}

void mm_get_layout(const mm_layout *index, uint8_t number, mm_layout *layout)
{
    copy(layout, index + number, sizeof *layout);
}

void mm_get_pad_map(const mm_pad_choice *maps, uint8_t number, mm_pad_choice *choice)
{
    copy(choice, maps + number, sizeof *choice);
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
