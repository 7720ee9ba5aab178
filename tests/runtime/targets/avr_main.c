/* SPDX-License-Identifier: MIT */
/* Firmware for the simulator: the host program puts report and time in place and takes the masks. */
#include <avr/interrupt.h>
#include <avr/sleep.h>

#include "mm_runtime.h"
#include "table.h" /* const uint8_t table_bytes[] MM_TABLE */

mm_state state;
volatile uint8_t report[8];
volatile uint16_t now;
volatile uint16_t wait;

int main(void)
{
    uint8_t copy[8];
    if (mm_init(&state, table_bytes, sizeof table_bytes)) {
        for (;;) {
            uint8_t i;
            for (i = 0u; i < 8u; i++) {
                copy[i] = report[i];
            }
            (void)mm_boot_report(&state, 0u, copy, 8u);
            wait = mm_advance(&state, now);
        }
    }
    cli();
    sleep_mode();
    return 0;
}
