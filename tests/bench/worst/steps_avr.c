/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Plays steps on an AVR, each input with just one call of mm_advance at a time of its own, as a firmware's loop does; see
 * avr_play.c for the registers. A step is a letter and what belongs to it: s (start anew), t usage modifiers (pasted
 * text), l (the layout is asked for anew), and with the ticks since the step before, low byte first, at the end: b 8
 * bytes (boot report), u 32 bytes (bitmap), a (no input).
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>

#include "tables.h"

static mm_state state;
static uint8_t input[32];

static void take(uint8_t count)
{
    uint8_t i;

    for (i = 0; i < count; i++) {
        input[i] = GPIOR0;
    }
}

int main(void)
{
    uint16_t now = 0;

    while (GPIOR2 != 0) {
        uint8_t letter = GPIOR0;

        if (letter == 's') {
            (void)mm_init(&state, all_tables[0], all_sizes[0]);
            now = 0;
        } else if (letter == 'l') {
            (void)mm_change_layout(&state, all_tables[0], all_sizes[0]);
        } else if (letter == 't') {
            take(2);
            (void)mm_type(&state, input[0], input[1]);
        } else {
            uint16_t low, high;

            take(letter == 'b' ? 8 : letter == 'u' ? 32 : 0);
            low = GPIOR0;
            high = GPIOR0;
            now = (uint16_t)(now + (low | high << 8));
            if (letter == 'b') {
                GPIOR1 = mm_boot_report(&state, 0, input, 8);
            } else if (letter == 'u') {
                GPIOR1 = mm_usages(&state, 0, input);
            }
            GPIOR1 = (uint8_t)mm_advance(&state, now);
        }
    }
    cli();
    sleep_mode();
    return 0;
}
