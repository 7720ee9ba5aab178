/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* Firmware for the simulator: the host program puts input and time in place and takes the masks. */
#include <avr/interrupt.h>
#include <avr/sleep.h>

#include "mm_runtime.h"
#include "table.h" /* const uint8_t table_bytes[] MM_TABLE */

mm_state state;
uint8_t input[32];
volatile uint16_t now;
volatile uint16_t wait;

int main(void)
{
    if (mm_init(&state, table_bytes, sizeof table_bytes)) {
        for (;;) {
#ifdef BITMAP
            (void)mm_usages(&state, 0u, input);
#else
            (void)mm_boot_report(&state, 0u, input, 8u);
#endif
#ifdef PADS /* the byte of a boot report that does not count says what a pad holds down */
            mm_controller(&state, input[1] & 1u, (uint8_t)(input[1] >> 1));
#endif
            wait = mm_advance(&state, now);
        }
    }
    cli();
    sleep_mode();
    return 0;
}
