/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Plays records from standard input through the runtime and writes what it shows to standard output, so that the
 * runtime can be run under sanitizers in a process of its own.
 *
 * Records: a letter, then
 *   T, L  size (2 bytes, low first), the table: mm_init, mm_change_layout; the table lies in a block of just that size
 *   R     keyboard, length, the report: mm_boot_report; the report lies in a block of just that length
 *   U     keyboard, 32 bytes: mm_usages        D  keyboard: mm_disconnected
 *   A     time (2 bytes): mm_advance, once     C  mm_take_command
 * A record that is cut short ends the run. After each A: its result and 17 masks, two bytes each, the low one first.
 */
#include <stdio.h>
#include <stdlib.h>

#include "mm_runtime.h"

#define TABLES 256

static uint8_t *blocks[TABLES];
static size_t used;

static int take(uint8_t *to, size_t size)
{
    return fread(to, 1, size, stdin) == size;
}

static uint16_t word(const uint8_t *pair)
{
    return (uint16_t)(pair[0] | pair[1] << 8);
}

static void put(uint16_t value)
{
    putchar(value & 0xFF);
    putchar(value >> 8);
}

static uint8_t *block(size_t size)
{
    uint8_t *bytes = malloc(size > 0u ? size : 1u);
    if (bytes == NULL || !take(bytes, size)) {
        free(bytes);
        return NULL;
    }
    return bytes;
}

static int play(mm_state *state, int letter)
{
    uint8_t head[33];
    uint8_t *bytes;
    uint8_t i;
    switch (letter) {
    case 'T':
    case 'L':
        if (used == TABLES || !take(head, 2) || (bytes = block(word(head))) == NULL) {
            return 0;
        }
        blocks[used++] = bytes;
        putchar(letter == 'T' ? mm_init(state, bytes, word(head)) : mm_change_layout(state, bytes, word(head)));
        return 1;
    case 'R':
        if (!take(head, 2) || (bytes = block(head[1])) == NULL) {
            return 0;
        }
        putchar(mm_boot_report(state, head[0], bytes, head[1]));
        free(bytes);
        return 1;
    case 'U':
        if (!take(head, 33)) {
            return 0;
        }
        putchar(mm_usages(state, head[0], head + 1));
        return 1;
    case 'D':
        if (!take(head, 1)) {
            return 0;
        }
        mm_disconnected(state, head[0]);
        return 1;
    case 'A':
        if (!take(head, 2)) {
            return 0;
        }
        put(mm_advance(state, word(head)));
        for (i = 0u; i < 16u; i++) {
            put(mm_select_mask(state, i));
        }
        put(mm_direct_mask(state));
        putchar(mm_leds(state) | mm_idle(state) << 7);
        return 1;
    case 'C':
        putchar(mm_take_command(state, head));
        return 1;
    default:
        return letter != EOF;
    }
}

int main(void)
{
    mm_state *state = malloc(sizeof *state);
    if (state == NULL || !mm_init(state, NULL, 0u)) {
        while (state != NULL && play(state, getchar())) {
        }
    }
    while (used > 0u) {
        free(blocks[--used]);
    }
    free(state);
    return 0;
}
