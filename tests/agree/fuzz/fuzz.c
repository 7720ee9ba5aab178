/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Feeds the runtime anything: input bytes choose a table (a real one, a damaged copy, or the bytes themselves) and then
 * play events. Whatever came, with all keys up and time passed no contact stays closed, and no latch after a layout change.
 */
#include <stdlib.h>
#include <string.h>

#include "mm_runtime.h"
#include "tables.h"

#define TABLES (sizeof all_sizes / sizeof all_sizes[0])
#define MOST_CALLS 70000u /* the clock may have stepped back, and comes round in 65536 ticks at most */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

typedef struct input {
    const uint8_t *next;
    const uint8_t *end;
} input;

static uint8_t take(input *in)
{
    return in->next < in->end ? *in->next++ : 0;
}

static uint16_t take16(input *in)
{
    uint16_t low = take(in);

    return (uint16_t)(low | take(in) << 8);
}

/* A block of just the table's size, so that a byte read behind it is seen. */
static uint8_t *take_table(input *in, uint16_t *size)
{
    uint8_t kind = take(in);
    uint8_t *table;
    uint8_t changes;

    if (kind < 128) {
        *size = all_sizes[kind % TABLES];
        table = malloc(*size);
        memcpy(table, all_tables[kind % TABLES], *size);
        for (changes = (uint8_t)(kind / 16); changes > 0; changes--) {
            table[take16(in) % *size] = take(in);
        }
        return table;
    }
    *size = (uint16_t)(in->end - in->next < 600 ? in->end - in->next : 600);
    *size = (uint16_t)(*size < take16(in) % 600u ? *size : *size / 2u);
    table = malloc(*size + 1u);
    memset(table, 0, *size + 1u);
    memcpy(table, in->next, in->next + *size <= in->end ? *size : 0u);
    if (*size > 0) {
        table[0] = MM_TABLE_VERSION;
    }
    in->next = in->next + *size <= in->end ? in->next + *size : in->end;
    return realloc(table, *size > 0 ? *size : 1u);
}

/* Lets time pass until nothing more will change; the time then. */
static uint16_t rest(mm_state *state, uint16_t now)
{
    uint16_t wait;
    unsigned calls;

    for (calls = 0; calls < MOST_CALLS; calls++) {
        wait = mm_advance(state, now);
        if (wait == MM_NEVER) {
            return now;
        }
        now = (uint16_t)(now + (wait < 0x4000u ? wait : 0x4000u));
    }
    abort();
}

static void check_open(mm_state *state, const uint8_t *table, uint16_t size, uint16_t now)
{
    static const uint8_t nothing[32];
    uint8_t keyboard;
    uint8_t select;

    for (keyboard = 0; keyboard < MM_KEYBOARDS; keyboard++) {
        (void)mm_usages(state, keyboard, nothing);
    }
    now = rest(state, now);
    if (state->latches != 0 && mm_change_layout(state, table, size)) {
        (void)rest(state, now);
    }
    if (!mm_idle(state) || state->latches != 0) {
        abort();
    }
    for (select = 0; select < MM_SELECT_MAX; select++) {
        if (mm_select_mask(state, select) != 0) {
            abort();
        }
    }
    if (mm_direct_mask(state) != 0) {
        abort();
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    input in = {data, data + size};
    uint16_t table_size;
    uint16_t other_size;
    uint16_t now = 0;
    uint8_t *table = take_table(&in, &table_size);
    uint8_t *other = take_table(&in, &other_size);
    uint8_t bytes[32];
    uint8_t length;
    uint8_t keyboard;
    uint8_t command;
    mm_state state;

    memset(&state, 0xA5, sizeof state);
    (void)mm_init(&state, table, table_size);
    while (in.next < in.end) {
        uint8_t what = take(&in);

        keyboard = (uint8_t)(what >> 4 & 3);
        length = (uint8_t)(what >> 6 == 3 ? what & 31 : 8);
        switch (what & 7) {
        case 0:
        case 1:
        case 2:
            for (command = 0; command < length; command++) {
                bytes[command] = take(&in);
            }
            (void)mm_boot_report(&state, keyboard, bytes, length);
            break;
        case 3:
            for (command = 0; command < 32; command++) {
                bytes[command] = take(&in);
            }
            (void)mm_usages(&state, keyboard, bytes);
            break;
        case 4:
            mm_disconnected(&state, keyboard);
            break;
        case 5:
            (void)(what & 8 ? mm_change_layout(&state, other, other_size) : mm_change_layout(&state, table, table_size));
            break;
        default:
            now = (uint16_t)(now + (what & 8 ? take16(&in) : take(&in)));
            (void)mm_advance(&state, now);
            (void)mm_take_command(&state, &command);
            (void)mm_leds(&state);
            (void)mm_idle(&state);
            break;
        }
    }
    check_open(&state, table, table_size, now);
    free(table);
    free(other);
    return 0;
}
