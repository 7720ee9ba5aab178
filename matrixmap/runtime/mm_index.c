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
