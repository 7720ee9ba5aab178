/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Firmware of the board in avr-pins.yaml: contacts follow the select lines by the routine that is written for it. The program
 * beside it is that of tests/runtime/targets/avr_follow.c, and the same host works the select lines. Open-drain outputs are
 * made by writing the direction: a line that is let go of is an input.
 */
#include <avr/interrupt.h>
#include <avr/io.h>

#define DIRECTIONS(port) (*((port) == MM_PORT_B ? &DDRB : (port) == MM_PORT_C ? &DDRC : &DDRD))
#define MM_BOARD_READ(port) (*((port) == MM_PORT_B ? &PINB : (port) == MM_PORT_C ? &PINC : &PIND))
#define MM_BOARD_WRITE(port, mask, bits) \
    (DIRECTIONS(port) = (uint8_t)((DIRECTIONS(port) & (uint8_t)~(mask)) | ((mask) & (uint8_t)~(bits))))

/* One way into each critical section: the host comes with a change just before it. */
#define MM_BOARD_INTERRUPTS_OFF() __asm__ volatile("nop\n\tcli" ::: "memory")
#define MM_BOARD_INTERRUPTS_ON() sei()

#include "mm_board_avr-pins_quillon8.h"
#include "tables.h"

static mm_board board;
static volatile uint16_t ticks;
volatile uint8_t which; /* the host's: 0 or 1, the set of masks */

void mm_board_write(uint8_t port, mm_board_bits mask, mm_board_bits bits)
{
    volatile uint8_t *at = port == MM_PORT_B ? &DDRB : port == MM_PORT_C ? &DDRC : &DDRD;
    MM_BOARD_INTERRUPTS_OFF(); /* the interrupt writes other bits of this port */
    *at = (uint8_t)((*at & (uint8_t)~mask) | (mask & (uint8_t)~bits));
    sei();
}

mm_board_bits mm_board_read(uint8_t port)
{
    return MM_BOARD_READ(port);
}

void mm_board_wait(uint16_t nanoseconds)
{
    (void)nanoseconds;
}

ISR(PCINT2_vect)
{
    mm_board_follow_inline(&board);
}

ISR(TIMER1_COMPA_vect, ISR_NOBLOCK)
{
    ticks++;
}

static uint16_t now(void)
{
    uint16_t read;
    MM_BOARD_INTERRUPTS_OFF();
    read = ticks;
    sei();
    return read;
}

int main(void)
{
    static mm_state state, shown;
    static uint8_t report[8];
    uint8_t round = 0u, line;
    PCMSK2 = 0xFFu;
    PCICR = 1u << PCIE2;
    OCR1A = 1599u; /* 0.1 ms at 16 MHz */
    TCCR1B = 1u << WGM12 | 1u << CS10;
    TIMSK1 = 1u << OCIE1A;
    (void)mm_init(&state, all_tables[0], all_sizes[0]);
    mm_board_begin(&board);
    sei();
    for (;;) {
        uint8_t set = which;
        round++;
        report[2] = (round & 8u) != 0u ? 4u : 0u;
        (void)mm_boot_report(&state, 0u, report, 8u);
        (void)mm_advance(&state, now());
        for (line = 0u; line < MM_SELECT_MAX; line++) {
            shown.closed[line] = (mm_mask)(1u << (line + 3u * set) % 8u);
        }
        mm_board_show(&board, &shown);
        mm_board_follow_in_loop(&board);
    }
}
