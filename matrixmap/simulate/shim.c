/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * What a tool outside the C world needs of the runtime: its size, all that it shows in one row of bytes, and a way to
 * play a whole tape of events in one call.
 */
#include "mm_runtime.h"

/*
 * A row: result, ticks to the next change (2 bytes), LEDs, commands taken since the row before, the last of them,
 * overflows (2), refusals (2), idle, direct lines, then 2 bytes a select line. Numbers are little-endian.
 */
#define MM_ROW_BYTES (12u + 2u * MM_SELECT_MAX)

/* Where a tape comes from and where rows go; a target without files defines both before including this file. */
#ifndef MM_TAPE_NEXT
#define MM_TAPE_NEXT(tape) (*(tape)->next++)
#define MM_TAPE_LEFT(tape) ((tape)->next < (tape)->end)
#define MM_TAPE_PUT(tape, byte) ((tape)->rows < (tape)->rows_end ? (void)(*(tape)->rows++ = (uint8_t)(byte)) : (void)0)
#endif

typedef struct mm_tape {
    const uint8_t *next;
    const uint8_t *end;
    uint8_t *rows;
    const uint8_t *rows_end;
    const uint8_t *const *tables;
    const uint16_t *sizes;
    uint16_t now;
    uint8_t on_command; /* the table that a command changes to, MM_NO_TABLE for none */
    uint8_t commands;   /* taken since the last row */
    uint8_t command;    /* the last of them */
} mm_tape;

#define MM_NO_TABLE 255u

/* What pads do: clashes, the closed switches of 8 controllers, the sense lines pulled with each select line, then with all. */
#define MM_PADS_BYTES (2u + 8u + 2u * (MM_SELECT_MAX + 1u))

bool mm_begin(mm_state *state, const uint8_t *table, uint16_t size);
uint16_t mm_state_bytes(void);
uint16_t mm_row_bytes(void);
void mm_show_row(const mm_state *state, uint8_t *row);
void mm_play(mm_state *state, mm_tape *tape);

/* mm_init by a name that does not depend on the sizes. */
bool mm_begin(mm_state *state, const uint8_t *table, uint16_t size)
{
    return mm_init(state, table, size);
}

uint16_t mm_state_bytes(void)
{
    return (uint16_t)sizeof(mm_state);
}

uint16_t mm_row_bytes(void)
{
    return (uint16_t)MM_ROW_BYTES;
}

static void put16(mm_tape *tape, uint16_t number)
{
    MM_TAPE_PUT(tape, number & 0xFFu);
    MM_TAPE_PUT(tape, number >> 8);
}

static void put_row(const mm_state *state, mm_tape *tape, uint8_t result, uint16_t wait)
{
    uint8_t select;

    MM_TAPE_PUT(tape, result);
    put16(tape, wait);
    MM_TAPE_PUT(tape, mm_leds(state));
    MM_TAPE_PUT(tape, tape->commands);
    MM_TAPE_PUT(tape, tape->command);
    put16(tape, mm_overflows(state));
    put16(tape, mm_refusals(state));
    MM_TAPE_PUT(tape, mm_idle(state) ? 1u : 0u);
    MM_TAPE_PUT(tape, mm_direct_mask(state));
    for (select = 0; select < MM_SELECT_MAX; select++) {
        put16(tape, mm_select_mask(state, select));
    }
}

/* The row of this moment; commands are left for mm_take_command. */
void mm_show_row(const mm_state *state, uint8_t *row)
{
    mm_tape tape = {0, 0, 0, 0, 0, 0, 0, 0, 0, 0};

    tape.rows = row;
    tape.rows_end = row + MM_ROW_BYTES;
    put_row(state, &tape, MM_TAKEN, 0);
}

#if MM_PADS
void mm_show_pads(const mm_state *state, uint8_t *row);

/* What pads do at this moment, MM_PADS_BYTES of it. The runtime tells no switches: they are looked at in its state. */
void mm_show_pads(const mm_state *state, uint8_t *row)
{
    uint8_t number;

    *row++ = (uint8_t)(mm_clashes(state) & 0xFFu);
    *row++ = (uint8_t)(mm_clashes(state) >> 8);
    for (number = 0; number < 8u; number++) {
        *row++ = number < MM_CONTROLLERS ? state->pad[number].shut : 0u;
    }
    for (number = 0; number <= MM_SELECT_MAX; number++) {
        *row++ = (uint8_t)(mm_pulls(state, number) & 0xFFu);
        *row++ = (uint8_t)(mm_pulls(state, number) >> 8);
    }
}

/* A row in which the masks are the pulls, the direct lines those that are pulled whatever is strobed, the overflows the clashes. */
static void put_pulls(const mm_state *state, mm_tape *tape)
{
    uint8_t select;

    for (select = 0; select < 6u; select++) {
        MM_TAPE_PUT(tape, 0u);
    }
    put16(tape, mm_clashes(state));
    for (select = 0; select < 3u; select++) {
        MM_TAPE_PUT(tape, 0u);
    }
    MM_TAPE_PUT(tape, mm_pulls(state, MM_SELECT_MAX));
    for (select = 0; select < MM_SELECT_MAX; select++) {
        put16(tape, mm_pulls(state, select));
    }
}
#endif

static void show(const mm_state *state, mm_tape *tape, uint8_t result, uint16_t wait)
{
    put_row(state, tape, result, wait);
    tape->commands = 0;
    tape->command = 0;
}

static uint16_t get16(mm_tape *tape)
{
    uint16_t low = MM_TAPE_NEXT(tape);
    uint16_t high = MM_TAPE_NEXT(tape);

    return (uint16_t)(low | high << 8);
}

static void get_bytes(mm_tape *tape, uint8_t *bytes, uint8_t count)
{
    uint8_t n;

    for (n = 0; n < count; n++) {
        bytes[n] = MM_TAPE_NEXT(tape);
    }
}

/* Calls as long as the runtime asks to be called at once, and takes commands after each call. */
static uint16_t settle(mm_state *state, mm_tape *tape)
{
    uint16_t wait = 0;
    uint16_t calls;

    for (calls = 0; calls < 256u && wait == 0; calls++) {
        wait = mm_advance(state, tape->now);
        if (mm_take_command(state, &tape->command)) {
            tape->commands++;
            if (tape->on_command != MM_NO_TABLE) {
                (void)mm_change_layout(state, tape->tables[tape->on_command], tape->sizes[tape->on_command]);
            }
        }
    }
    return wait;
}

/* Lets time pass, calling whenever the runtime asks for it, with a row each time. */
static void run(mm_state *state, mm_tape *tape, uint16_t ticks)
{
    uint16_t wait = settle(state, tape);

    while (wait != MM_NEVER && wait <= ticks) {
        ticks = (uint16_t)(ticks - wait);
        tape->now = (uint16_t)(tape->now + wait);
        wait = settle(state, tape);
        show(state, tape, MM_TAKEN, wait);
    }
    tape->now = (uint16_t)(tape->now + ticks);
    wait = settle(state, tape);
    show(state, tape, MM_TAKEN, wait);
}

/*
 * Plays a tape. Each event is a letter and what belongs to it: i n (start anew with table n), b keyboard length bytes,
 * u keyboard 32 bytes, x keyboard (disconnected), l n (layout), c n (the layout of every command from now on),
 * r ticks (run), j ticks (the clock moves without a call), t usage modifiers (pasted text); with MM_PADS p controller
 * switches (of a pad), g controller (its pad is gone), after which a second row has the pulls.
 * A row follows each event, and in a run each call that the runtime asked for.
 */
void mm_play(mm_state *state, mm_tape *tape)
{
    uint8_t bytes[255];

    tape->on_command = MM_NO_TABLE;
    tape->commands = 0;
    tape->command = 0;
    while (MM_TAPE_LEFT(tape)) {
        uint8_t letter = MM_TAPE_NEXT(tape);
        uint8_t result = MM_TAKEN;
        uint8_t number = 0;

        if (letter == 'r') {
            run(state, tape, get16(tape));
            continue;
        }
        if (letter == 'j') {
            tape->now = (uint16_t)(tape->now + get16(tape));
        } else {
            number = MM_TAPE_NEXT(tape);
        }
        if (letter == 'i') {
            (void)mm_init(state, tape->tables[number], tape->sizes[number]);
            tape->now = 0;
            tape->on_command = MM_NO_TABLE;
        } else if (letter == 'c') {
            tape->on_command = number;
        } else if (letter == 'l') {
            (void)mm_change_layout(state, tape->tables[number], tape->sizes[number]);
        } else if (letter == 'x') {
            mm_disconnected(state, number);
        } else if (letter == 't') {
            result = mm_type(state, number, MM_TAPE_NEXT(tape)) ? MM_TAKEN : MM_DROPPED;
#if MM_PADS
        } else if (letter == 'p') {
            mm_controller(state, number, MM_TAPE_NEXT(tape));
        } else if (letter == 'g') {
            mm_unplugged(state, number);
#endif
        } else if (letter == 'b') {
            uint8_t length = MM_TAPE_NEXT(tape);

            get_bytes(tape, bytes, length);
            result = (uint8_t)mm_boot_report(state, number, bytes, length);
        } else if (letter == 'u') {
            get_bytes(tape, bytes, 32);
            result = (uint8_t)mm_usages(state, number, bytes);
        }
        show(state, tape, result, settle(state, tape));
#if MM_PADS
        if (letter == 'p' || letter == 'g') {
            put_pulls(state, tape);
        }
#endif
    }
}
