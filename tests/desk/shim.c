/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* What ctypes cannot see by itself, and whole streams of reports in one call. */
#include "mm_descriptor.h"

uint16_t mm_test_report_state_size(void);
uint16_t mm_test_state_size(void);
bool mm_test_init(mm_state *state, const uint8_t *table, uint16_t size);
uint32_t mm_test_report_batch(mm_report_state *keyboard, const uint8_t *reports, uint32_t size, uint8_t *out);
uint32_t mm_test_replay(mm_report_state *keyboard, mm_state *state, const uint8_t *reports, uint32_t size, uint32_t *closed);
uint32_t mm_test_replay_sets(mm_state *state, const uint8_t *sets, uint32_t size, uint32_t *closed);

uint16_t mm_test_report_state_size(void)
{
    return (uint16_t)sizeof(mm_report_state);
}

uint16_t mm_test_state_size(void)
{
    return (uint16_t)sizeof(mm_state);
}

/* mm_init by a name that does not depend on the sizes. */
bool mm_test_init(mm_state *state, const uint8_t *table, uint16_t size)
{
    return mm_init(state, table, size);
}

/* Reports as {length, length, bytes...}; writes {result, 32 bytes} for each. Returns their number. */
uint32_t mm_test_report_batch(mm_report_state *keyboard, const uint8_t *reports, uint32_t size, uint8_t *out)
{
    uint32_t at = 0u, count = 0u;
    while (at + 2u <= size) {
        uint16_t length = (uint16_t)(reports[at] | (uint16_t)(reports[at + 1u] << 8));
        at += 2u;
        out[0] = (uint8_t)mm_report_keys(keyboard, reports + at, length, out + 1);
        out += 33;
        at += length;
        count++;
    }
    return count;
}

/* Time passes: mm_advance is called at every moment that it asks for. Select lines with a closed contact are counted, so
 * that no compiler can leave the work out. */
static uint16_t pass(mm_state *state, uint16_t *now, uint16_t wait, uint32_t ticks, uint32_t *closed)
{
    while (wait != MM_NEVER && wait <= ticks) {
        uint8_t select;
        *now = (uint16_t)(*now + wait);
        ticks -= wait;
        wait = mm_advance(state, *now);
        for (select = 0u; select < MM_SELECT_MAX; select++) {
            *closed += mm_select_mask(state, select) != 0u;
        }
    }
    *now = (uint16_t)(*now + ticks);
    return wait == MM_NEVER ? wait : (uint16_t)(wait - ticks);
}

static uint32_t ticks_at(const uint8_t *from)
{
    return from[0] | ((uint32_t)from[1] << 8) | ((uint32_t)from[2] << 16) | ((uint32_t)from[3] << 24);
}

/* Reports through decoder, runtime and time: {ticks since the last, 4 bytes; length, 2 bytes; bytes}. Their number. */
uint32_t mm_test_replay(mm_report_state *keyboard, mm_state *state, const uint8_t *reports, uint32_t size, uint32_t *closed)
{
    uint32_t at = 0u, count = 0u;
    uint16_t now = 0u;
    uint8_t down[32];
    uint16_t wait = mm_advance(state, now);
    while (at + 6u <= size) {
        uint16_t length = (uint16_t)(reports[at + 4u] | (uint16_t)(reports[at + 5u] << 8));
        wait = pass(state, &now, wait, ticks_at(reports + at), closed);
        at += 6u;
        if (mm_report_keys(keyboard, reports + at, length, down) <= MM_REPORT_ROLLED) {
            (void)mm_usages(state, 0u, down);
            wait = mm_advance(state, now);
        }
        at += length;
        count++;
    }
    return count;
}

/* Key sets through runtime and time: {ticks since the last, 4 bytes; 32 bytes}. Their number. */
uint32_t mm_test_replay_sets(mm_state *state, const uint8_t *sets, uint32_t size, uint32_t *closed)
{
    uint32_t at, count = 0u;
    uint16_t now = 0u;
    uint16_t wait = mm_advance(state, now);
    for (at = 0u; at + 36u <= size; at += 36u) {
        wait = pass(state, &now, wait, ticks_at(sets + at), closed);
        (void)mm_usages(state, 0u, sets + at + 4u);
        wait = mm_advance(state, now);
        count++;
    }
    return count;
}
