/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Decodes reports of a pad on an AVR: from GPIOR0 the descriptor as {length, bytes}, then reports as {length, bytes} as
 * long as GPIOR2 says that there is more. What is on after each goes to GPIOR1, 7 bytes.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>

#include "mm_descriptor.h"
#include "mm_pad.h"

static mm_pad_state pad;
static uint8_t input[255];
static uint8_t table[128];

static uint8_t take(void)
{
    uint8_t length = GPIOR0;
    uint8_t i;

    for (i = 0; i < length; i++) {
        input[i] = GPIOR0;
    }
    return length;
}

int main(void)
{
    uint16_t size;
    uint8_t length = take();

    if (mm_read_pad(input, length, 0, table, sizeof table, &size) == MM_DESCRIPTOR_READ) {
        (void)mm_pad_init_ram(&pad, table, size);
    }
    while (GPIOR2 != 0) {
        uint8_t i;

        length = take();
        (void)mm_pad_report(&pad, input, length);
        for (i = 0; i < sizeof pad.on; i++) {
            GPIOR1 = pad.on[i];
        }
    }
    cli();
    sleep_mode();
    return 0;
}
