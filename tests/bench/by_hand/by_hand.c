/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * What one would write by hand for one layout, to compare with: a boot report in, contacts out. No times, no guard, no
 * waiting line, no locks. Written for the benchmark; BY_HAND_SWITCH chooses a switch instead of a table.
 */
#include "by_hand.h"

#ifdef BY_HAND_SWITCH
static uint16_t look_up(uint8_t usage, uint8_t level)
{
    switch ((uint16_t)(usage << 2 | level)) {
        BY_HAND_CASES
    default:
        return BY_HAND_NOTHING;
    }
}
#else
static const uint8_t entries[256][4][2] MM_TABLE = BY_HAND_TABLE;

static uint16_t look_up(uint8_t usage, uint8_t level)
{
    const uint8_t *entry = entries[usage][level];

    return (uint16_t)(MM_READ(entry) | MM_READ(entry + 1) << 8);
}
#endif

void by_hand_report(const uint8_t *report, uint8_t *rows)
{
    uint8_t level = (uint8_t)((report[0] & 0x22u ? 1u : 0u) | (report[0] & 0x40u ? 2u : 0u));
    uint8_t shift = level & 1u;
    uint8_t i;

    for (i = 0; i < 8; i++) {
        rows[i] = 0;
    }
    for (i = 2; i < 8; i++) {
        uint16_t entry = look_up(report[i], level);

        if (entry != BY_HAND_NOTHING) {
            rows[entry >> 4 & 7] = (uint8_t)(rows[entry >> 4 & 7] | 1u << (entry & 7));
            if (entry & BY_HAND_HOLD) {
                shift = 1;
            }
            if (entry & BY_HAND_LIFT) {
                shift = 0;
            }
        }
    }
    if (shift) {
        rows[BY_HAND_SHIFT >> 4] = (uint8_t)(rows[BY_HAND_SHIFT >> 4] | 1u << (BY_HAND_SHIFT & 15));
    }
}
