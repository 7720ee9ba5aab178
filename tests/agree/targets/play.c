/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* Plays a tape on a processor with plain memory: the tape comes in whole, the rows go out whole. */
#include "platform.h"
#include "shim.c"
#include "tables.h"

#define MOST_TAPE 0x40000u
#define MOST_ROWS 0x100000u

static mm_state state;
static uint8_t events[MOST_TAPE];
static uint8_t rows[MOST_ROWS];

int main(void)
{
    mm_tape tape;
    uint32_t size = read_tape(events, MOST_TAPE);

    tape.next = events;
    tape.end = events + size;
    tape.rows = rows;
    tape.rows_end = rows + MOST_ROWS;
    tape.tables = all_tables;
    tape.sizes = all_sizes;
    tape.now = 0;
    mm_play(&state, &tape);
    write_rows(rows, (uint32_t)(tape.rows - rows));
    return 0;
}
