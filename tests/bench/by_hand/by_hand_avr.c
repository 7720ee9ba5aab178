/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* Calls by_hand_report for each report of a tape; see avr_play.c for the registers. */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>

#include "by_hand.h"

static uint8_t rows[8];

int main(void)
{
    uint8_t report[8];
    uint8_t i;

    while (GPIOR2 != 0) {
        for (i = 0; i < 8; i++) {
            report[i] = GPIOR0;
        }
        by_hand_report(report, rows);
        GPIOR1 = rows[0];
    }
    cli();
    sleep_mode();
    return 0;
}
