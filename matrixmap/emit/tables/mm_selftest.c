/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#include "mm_selftest.h"

#if MM_WAITING >= 4 && MM_HELD >= 8 && MM_TAPS

/*
 * mm_selftest_steps: for each layout FIRST, its steps, then LAST. A step is a byte with a kind in bits 3-5 and a number of keys in
 * bits 0-2, ticks (low byte first), with REPORT, BITMAP, TYPED and SHORT a modifier byte and the usages of the keys, and a check
 * (high byte first). The clock moves by the ticks, mm_advance is called until it returns more than 0, then comes the
 * input, and mm_advance is called again so. The check is the CRC of ITU-T V.41, as that of a table, over a row for the
 * time and, with an input, one for that.
 */
enum { TIME = 0, REPORT = 1, BITMAP = 2, LOST = 3, TYPED = 4, LAYOUT = 5, SHORT = 6 };
#define FIRST 0x5Au
#define LAST 0xFFu
#define MOST_CALLS 256u
#define MOST_SELECT 16u

static mm_state state;

static uint16_t with_byte(uint16_t crc, uint8_t byte)
{
    uint8_t bit;

    crc = (uint16_t)(crc ^ ((uint16_t)byte << 8));
    for (bit = 0; bit < 8u; bit++) {
        uint16_t shifted = (uint16_t)(crc << 1);
        crc = (crc & 0x8000u) != 0u ? (uint16_t)(shifted ^ 0x1021u) : shifted;
    }
    return crc;
}

static uint16_t with_word(uint16_t crc, uint16_t word)
{
    return with_byte(with_byte(crc, (uint8_t)(word & 0xFFu)), (uint8_t)(word >> 8));
}

/* Settles, and adds a row: all that is shown then. */
static uint16_t with_row(uint16_t crc, uint8_t result, uint16_t now)
{
    uint16_t wait = 0;
    uint16_t calls;
    uint8_t commands = 0;
    uint8_t command = 0;
    uint8_t select;

    for (calls = 0; calls < MOST_CALLS && wait == 0u; calls++) {
        wait = mm_advance(&state, now);
        if (mm_take_command(&state, &command)) {
            commands++;
        }
    }
    crc = with_word(with_byte(crc, result), wait);
    crc = with_byte(with_byte(with_byte(crc, mm_leds(&state)), commands), command);
    crc = with_word(with_word(crc, mm_overflows(&state)), mm_refusals(&state));
    crc = with_byte(with_byte(crc, mm_idle(&state) ? 1u : 0u), mm_direct_mask(&state));
    for (select = 0; select < MOST_SELECT; select++) {
        crc = with_word(crc, mm_select_mask(&state, select));
    }
    return crc;
}

/* Gives an input; `at` is the modifier byte, behind which are `keys` usages. */
static uint8_t input(uint8_t kind, const uint8_t *at, uint8_t keys, const mm_layout *layout)
{
    uint8_t bytes[32];
    uint8_t n;

    if (kind == LOST) {
        mm_disconnected(&state, 0);
        return MM_TAKEN;
    }
    if (kind == LAYOUT) {
        return mm_change_layout(&state, layout->table, layout->size) ? MM_TAKEN : MM_MALFORMED;
    }
    if (kind == TYPED) {
        return mm_type(&state, MM_READ(at + 1), MM_READ(at)) ? MM_TAKEN : MM_DROPPED;
    }
    for (n = 0; n < sizeof bytes; n++) {
        bytes[n] = 0;
    }
    if (kind == REPORT || kind == SHORT) {
        bytes[0] = MM_READ(at);
        for (n = 0; n < keys; n++) {
            bytes[2u + n] = MM_READ(at + 1 + n);
        }
        return mm_boot_report(&state, 0, bytes, kind == SHORT ? 7 : 8);
    }
    bytes[28] = MM_READ(at); /* usages 0xE0 to 0xE7 */
    for (n = 0; n < keys; n++) {
        uint8_t usage = MM_READ(at + 1 + n);
        bytes[usage >> 3] = (uint8_t)(bytes[usage >> 3] | (1u << (usage & 7u)));
    }
    return mm_usages(&state, 0, bytes);
}

uint16_t mm_selftest(void)
{
    const uint8_t *at = mm_selftest_steps;
    uint16_t number = 0;
    uint16_t each;

    for (each = 0; each < MM_LAYOUTS; each++) {
        mm_layout layout;
        uint16_t now = 0;

        mm_get_layout(mm_layouts, (uint8_t)each, &layout);
        (void)mm_init(&state, layout.table, layout.size);
        if (MM_READ(at) != FIRST) { /* they are not read from where they lie */
            return (uint16_t)(number + 1u);
        }
        for (at++; MM_READ(at) != LAST; at += 2) {
            uint8_t kind = (uint8_t)(MM_READ(at) >> 3);
            uint8_t keys = MM_READ(at) & 7u;
            uint16_t ticks = (uint16_t)(MM_READ(at + 1) | (uint16_t)((uint16_t)MM_READ(at + 2) << 8));
            uint16_t crc;

            number++;
            now = (uint16_t)(now + ticks);
            at += 3;
            crc = with_row(0xFFFFu, MM_TAKEN, now);
            if (kind != TIME) {
                crc = with_row(crc, input(kind, at, keys, &layout), now);
            }
            if (kind == REPORT || kind == BITMAP || kind == TYPED || kind == SHORT) {
                at += 1 + keys;
            }
            if (crc != (uint16_t)((uint16_t)((uint16_t)MM_READ(at) << 8) | MM_READ(at + 1))) {
                return number;
            }
        }
        at++;
    }
    return 0;
}

#else

uint16_t mm_selftest(void)
{
    return MM_SELFTEST_SIZES;
}

#endif
