/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * The outside of the Ferrule as records on a serial line, so that the same firmware runs on a desk and in a simulator.
 * README.md has the records. A product has a radio or USB, and a driver of contacts, in its place.
 */
#include "ferrule.h"

/* ---- In: called from the interrupt of the serial line ---- */

void on_byte(uint8_t byte)
{
    static uint8_t letter; /* 0: a record begins */
    static uint8_t keyboard, have, length;
    static uint8_t bytes[REPORT_BYTES];

    if (letter == 0u) {
        if (byte == 'B' || byte == 'R' || byte == 'L' || byte == 'C') {
            letter = byte;
            have = 0;
            length = byte == 'B' ? 8u : 0u;
            keyboard = 0xFF;
        }
        return;
    }
    if (keyboard == 0xFFu) {
        keyboard = (uint8_t)(byte & 0x7Fu);
        if (letter == 'L') {
            on_link_lost(keyboard);
        } else if (letter == 'C') {
            on_connected(keyboard);
        } else {
            return;
        }
        letter = 0;
        return;
    }
    if (length == 0u) {
        length = byte;
        if (length == 0u || length > REPORT_BYTES) {
            letter = 0;
        }
        return;
    }
    bytes[have++] = byte;
    if (have == length) {
        letter = 0;
        on_report(keyboard, bytes, length);
    }
}

/* ---- Out: called from the loop ---- */

static void put_lines(uint8_t letter, uint8_t select, uint16_t sense)
{
    board_put(letter);
    board_put(select);
    board_put((uint8_t)(sense & 0xFFu));
    board_put((uint8_t)(sense >> 8));
}

void open_contacts(uint8_t select, uint16_t sense)
{
    put_lines('o', select, sense);
}

void close_contacts(uint8_t select, uint16_t sense)
{
    put_lines('c', select, sense);
}

void set_direct_lines(uint8_t lines)
{
    board_put('d');
    board_put(lines);
}

void send_leds(uint8_t keyboard, uint8_t id, const uint8_t *bytes, uint8_t length)
{
    uint8_t at;

    board_put('k');
    board_put(keyboard);
    board_put(id);
    board_put(length);
    for (at = 0; at < length; at++) {
        board_put(bytes[at]);
    }
}

void start_pairing(void)
{
    board_put('p');
}

void tell_layout(uint8_t number)
{
    board_put('l');
    board_put(number);
}

void tell_taken(uint8_t what, uint8_t keyboard)
{
    board_put('e');
    board_put(what);
    board_put(keyboard);
}

void tell_time(uint16_t now)
{
    board_put('t');
    board_put((uint8_t)(now & 0xFFu));
    board_put((uint8_t)(now >> 8));
}
