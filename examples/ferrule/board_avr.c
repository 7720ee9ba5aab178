/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* The Ferrule on an ATmega328P at 16 MHz: registers and bits by the data sheet's names, through avr-libc. */
#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#include "ferrule.h"

#define CLOCK_HZ 16000000ul
#define BAUD 250000ul
#define TICK_HZ 10000ul

ISR(TIMER1_COMPA_vect)
{
    on_tick();
}

ISR(USART_RX_vect)
{
    on_byte(UDR0);
}

void board_release_lines(void)
{
    /* Inputs without pull-ups, as after a reset: no line is driven. Yours: also what opens your switches. */
    DDRB = DDRC = DDRD = 0;
    PORTB = PORTC = PORTD = 0;
    /* After a reset by the watchdog it goes on, with its shortest time. */
    MCUSR = 0;
    wdt_disable();
}

void board_begin(void)
{
    TCCR1B = (1u << WGM12) | (1u << CS11); /* counts up to OCR1A at an eighth of the clock */
    OCR1A = (uint16_t)(CLOCK_HZ / 8ul / TICK_HZ - 1ul);
    TIMSK1 = 1u << OCIE1A;
    UBRR0 = (uint16_t)(CLOCK_HZ / 16ul / BAUD - 1ul);
    UCSR0C = (1u << UCSZ01) | (1u << UCSZ00); /* 8 bits, no parity, one stop bit */
    UCSR0B = (1u << RXCIE0) | (1u << RXEN0) | (1u << TXEN0);
    SMCR = 0; /* idle: the timer and the serial line go on */
    wdt_enable(WDTO_500MS);
}

void board_interrupts_off(void)
{
    cli();
}

void board_interrupts_on(void)
{
    sei();
}

void board_sleep(void)
{
    sleep_enable();
    sei(); /* the instruction behind it comes before any interrupt */
    sleep_cpu();
    sleep_disable();
}

void board_feed_watchdog(void)
{
    wdt_reset();
}

void board_restart(void)
{
    cli();
    for (;;) { /* until the watchdog bites */
    }
}

void board_put(uint8_t byte)
{
    while ((UCSR0A & (1u << UDRE0)) == 0u) {
    }
    UDR0 = byte;
}

/* The EEPROM keeps the bytes from its second one on: from memory, some chips lose the first when the power falls. */
#define KEPT_AT 1u

void board_load(uint8_t *bytes, uint8_t length)
{
    uint8_t at;

    for (at = 0; at < length; at++) {
        bytes[at] = eeprom_read_byte((const uint8_t *)(KEPT_AT + at));
    }
}

void board_save(const uint8_t *bytes, uint8_t length)
{
    uint8_t at;

    for (at = 0; at < length; at++) {
        eeprom_update_byte((uint8_t *)(KEPT_AT + at), bytes[at]); /* 3.4 ms for one that changes */
        wdt_reset(); /* a few of them: bounded, so the loop is not thought to hang */
    }
}
