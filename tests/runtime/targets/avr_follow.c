/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Firmware that follows select lines by the code of docs/firmware.md (follow_page.c, its `extern` lines left out): a loop
 * that types by itself, a clock, and the pin-change interrupt. The host program works the select lines, which are active
 * low, and chooses between two sets of masks, of which each line's is told apart from those of others.
 *
 * ATmega328P, 8 by 8: select lines at port D; sense lines at C0 to C5, B0 and B1, for a crystal leaves no port of eight
 * pins beside D. ATmega1284P, up to 16 by 16: select lines at ports A and B, sense lines at ports C and D.
 */
#include <avr/interrupt.h>
#include <avr/io.h>

#include "mm_follow.h"
#include "tables.h"

MM_FOLLOW_INLINE void interrupts_off(void)
{
    cli();
}

MM_FOLLOW_INLINE void interrupts_on(void)
{
    sei();
}

#if defined(__AVR_ATmega1284P__)
MM_FOLLOW_INLINE mm_lines select_lines(void)
{
#if MM_SELECT_MAX <= 8
    return (mm_lines)~PINA;
#else
    return (mm_lines) ~((uint16_t)PINB << 8 | PINA);
#endif
}

MM_FOLLOW_INLINE void pull_low(mm_mask sense)
{
    DDRC = (uint8_t)(sense & 0xFFu);
#if MM_SENSE_MAX > 8
    DDRD = (uint8_t)(sense >> 8);
#endif
}
#else
MM_FOLLOW_INLINE mm_lines select_lines(void)
{
    return (mm_lines)~PIND;
}

MM_FOLLOW_INLINE void pull_low(mm_mask sense)
{
    DDRC = sense & 0x3Fu;
    DDRB = (uint8_t)((DDRB & ~3u) | sense >> 6);
}
#endif

MM_FOLLOW_INLINE void set_direct_lines(uint8_t lines)
{
#if defined(__AVR_ATmega1284P__)
    GPIOR0 = lines; /* 16 by 16 lines take all pins */
#else
    if ((lines & 1u) != 0u) {
        DDRB |= 1u << 2; /* one instruction, sbi */
    } else {
        DDRB &= (uint8_t)~(1u << 2);
    }
#endif
}

void follow_masks(const mm_state *state);
void turn(mm_state *state, uint16_t now);

#include "follow_page.c"

static volatile uint16_t ticks;
volatile uint8_t which; /* the host's: 0 or 1, the set of masks */

#if defined(__AVR_ATmega1284P__)
ISR(PCINT0_vect)
{
    on_select_change();
}

ISR(PCINT1_vect, ISR_ALIASOF(PCINT0_vect)); /* one body, so that the compiler has nothing to call */
#else
ISR(PCINT2_vect)
{
    on_select_change();
}
#endif

ISR(TIMER1_COMPA_vect, ISR_NOBLOCK)
{
    ticks++;
}

static uint16_t now(void)
{
    uint16_t read;
    interrupts_off();
    read = ticks;
    interrupts_on();
    return read;
}

static mm_mask pattern(uint8_t line)
{
    uint16_t mask = (uint16_t)(1u << line % MM_SENSE_MAX);
    if (MM_SENSE_MAX > 8) {
        mask |= (uint16_t)(1u << (line + 9u) % MM_SENSE_MAX);
    }
    return (mm_mask)mask;
}

int main(void)
{
    static mm_state state, shown;
    static uint8_t report[8];
    uint8_t round = 0u, line;
#if defined(__AVR_ATmega1284P__)
    PCMSK0 = 0xFFu;
    PCMSK1 = MM_SELECT_MAX <= 8 ? 0u : (uint8_t)((1uL << (MM_SELECT_MAX - 8)) - 1u);
    PCICR = 1u << PCIE0 | 1u << PCIE1;
#else
    PCMSK2 = 0xFFu;
    PCICR = 1u << PCIE2;
#endif
    OCR1A = 1599u; /* 0.1 ms at 16 MHz */
    TCCR1B = 1u << WGM12 | 1u << CS10;
    TIMSK1 = 1u << OCIE1A;
    (void)mm_init(&state, all_tables[0], all_sizes[0]);
    sei();
    for (;;) {
        uint8_t set = which;
        round++;
        report[2] = (round & 8u) != 0u ? 4u : 0u;
        (void)mm_boot_report(&state, 0u, report, 8u);
        (void)mm_advance(&state, now());
        for (line = 0u; line < MM_SELECT_MAX; line++) {
            shown.closed[line] = pattern((uint8_t)(line + 3u * set));
        }
        follow_masks(&shown);
        set_direct_lines(mm_direct_mask(&state));
    }
}
