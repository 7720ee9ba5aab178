/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* Plays a tape on an AVR: GPIOR0 gives the next byte, GPIOR2 says whether there is one, GPIOR1 takes a byte of a row. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>

#define MM_TAPE_NEXT(tape) ((void)(tape), GPIOR0)
#define MM_TAPE_LEFT(tape) ((void)(tape), GPIOR2 != 0)
#define MM_TAPE_PUT(tape, byte) ((void)(tape), GPIOR1 = (uint8_t)(byte))
#include "shim.c"
#include "tables.h"

static mm_state state;

int main(void)
{
    mm_tape tape = {0, 0, 0, 0, 0, 0, 0, 0, 0, 0};

    tape.tables = all_tables;
    tape.sizes = all_sizes;
    mm_play(&state, &tape);
    cli();
    sleep_mode(); /* the simulator stops at sleep without interrupts */
    return 0;
}
