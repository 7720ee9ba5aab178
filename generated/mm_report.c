/* SPDX-License-Identifier: MIT */
#include "mm_report.h"

#include <stddef.h>
#include <string.h>

#define AT_VERSION 0u
#define AT_FLAGS 1u
#define AT_REPORTS 2u
#define AT_LENGTH 3u
#define HEADER 5u
#define REPORT_ENTRY 3u /* bytes */
#define NUMBERED 0x01u

/* Offsets in a step, and the lengths of steps in bytes. */
#define STEP_BIT 1u
#define STEP_COUNT 3u
#define STEP_USAGE 4u
#define STEP_SIZE 5u
#define BITS_LENGTH 5u
#define WIDE_LENGTH 7u
#define ARRAY_SIZE 3u
#define ARRAY_COUNT 4u
#define ARRAY_RANGES 6u
#define ARRAY_LENGTH 7u

enum { BITS = 1, WIDE = 2, ARRAY = 3 };

#define USAGE_SETS 32u      /* bytes */
#define STATUS 0x0Eu        /* usages 0x01 to 0x03 */
#define NO_KEYS 0x0Fu       /* and 0x00 */
#define MODIFIERS 0xE0u     /* the first of eight */
#define MODIFIER_BYTE 28u
#define LONGEST 8191u       /* bytes of a report: its bits have numbers of two bytes */

/* ---- the table ---- */

static uint8_t table_byte(const mm_report_state *state, uint16_t at)
{
    const uint8_t *address = state->table + at;
    return state->in_ram ? *address : (uint8_t)MM_READ(address);
}

static uint16_t table_word(const mm_report_state *state, uint16_t at)
{
    return (uint16_t)(table_byte(state, at) | ((uint16_t)table_byte(state, (uint16_t)(at + 1u)) << 8));
}

static uint8_t value_bytes(uint8_t size)
{
    return (uint8_t)((size + 7u) >> 3);
}

static uint16_t step_length(const mm_report_state *state, uint16_t at)
{
    uint8_t kind = table_byte(state, at) & 15u;
    if (kind == ARRAY) {
        uint8_t entry = (uint8_t)(value_bytes(table_byte(state, (uint16_t)(at + ARRAY_SIZE))) + 2u);
        return (uint16_t)(ARRAY_LENGTH + (uint16_t)(entry * table_byte(state, (uint16_t)(at + ARRAY_RANGES))));
    }
    return kind == BITS ? BITS_LENGTH : WIDE_LENGTH;
}

/* The entry of report `number`, behind the steps. */
static uint16_t report_entry(const mm_report_state *state, uint8_t number)
{
    return (uint16_t)(HEADER + table_word(state, AT_LENGTH) + REPORT_ENTRY * number);
}

static bool usages_are_sound(const mm_report_state *state, uint16_t at)
{
    return (uint16_t)table_byte(state, at) + table_byte(state, (uint16_t)(at + 1u)) <= 255u;
}

/* Whether the step at `at` ends before `end` and reads only bits of its report. */
static bool step_is_sound(const mm_report_state *state, uint16_t at, uint16_t end)
{
    uint8_t head = table_byte(state, at);
    uint8_t kind = head & 15u;
    uint16_t left = (uint16_t)(end - at);
    uint16_t bits, size = 1u, count;
    if (kind < BITS || kind > ARRAY || left < (kind == BITS ? BITS_LENGTH : WIDE_LENGTH) ||
        head >> 4 >= table_byte(state, AT_REPORTS) || left < step_length(state, at)) {
        return false;
    }
    if (kind == ARRAY) {
        uint8_t ranges = table_byte(state, (uint16_t)(at + ARRAY_RANGES));
        uint16_t range = (uint16_t)(at + ARRAY_LENGTH);
        size = table_byte(state, (uint16_t)(at + ARRAY_SIZE));
        count = table_word(state, (uint16_t)(at + ARRAY_COUNT));
        if (size < 1u || size > 32u) {
            return false;
        }
        for (; ranges > 0u; ranges--) {
            range = (uint16_t)(range + value_bytes((uint8_t)size));
            if (!usages_are_sound(state, range)) {
                return false;
            }
            range = (uint16_t)(range + 2u);
        }
    } else {
        count = (uint16_t)(table_byte(state, (uint16_t)(at + STEP_COUNT)) + 1u);
        if (!usages_are_sound(state, (uint16_t)(at + STEP_COUNT))) {
            return false;
        }
        if (kind == WIDE) {
            size = table_word(state, (uint16_t)(at + STEP_SIZE));
        }
    }
    bits = (uint16_t)(8u * table_word(state, (uint16_t)(report_entry(state, head >> 4) + 1u)));
    return table_word(state, (uint16_t)(at + STEP_BIT)) <= bits &&
           (uint32_t)size * count <= (uint32_t)(bits - table_word(state, (uint16_t)(at + STEP_BIT)));
}

/* Whole table checked once, so that no later read needs a bound. */
static bool table_is_sound(const mm_report_state *state, uint16_t size)
{
    uint16_t at, end;
    uint8_t number, reports;
    if (size < HEADER || table_byte(state, AT_VERSION) != MM_REPORT_TABLE_VERSION) {
        return false;
    }
    reports = table_byte(state, AT_REPORTS);
    if (reports < 1u || reports > MM_REPORTS ||
        (uint32_t)HEADER + table_word(state, AT_LENGTH) + REPORT_ENTRY * reports != size) {
        return false;
    }
    for (number = 0u; number < reports; number++) {
        uint16_t length = table_word(state, (uint16_t)(report_entry(state, number) + 1u));
        if (length < 1u || length > LONGEST) {
            return false;
        }
    }
    end = report_entry(state, 0u);
    for (at = HEADER; at < end; at = (uint16_t)(at + step_length(state, at))) {
        if (!step_is_sound(state, at, end)) {
            return false;
        }
    }
    return true;
}

static bool start(mm_report_state *state, const uint8_t *table, uint16_t size, bool in_ram)
{
    memset(state, 0, sizeof *state);
    state->table = table;
    state->in_ram = in_ram;
    if (table == NULL || !table_is_sound(state, size)) {
        state->table = NULL;
        return false;
    }
    return true;
}

bool mm_report_init(mm_report_state *state, const uint8_t *table, uint16_t size)
{
    return start(state, table, size, false);
}

bool mm_report_init_ram(mm_report_state *state, const uint8_t *table, uint16_t size)
{
    return start(state, table, size, true);
}

/* ---- reports ---- */

/* What one report says, while it is put together. */
typedef struct found {
    uint8_t down[USAGE_SETS];
    uint8_t followed;  /* modifiers that have bits of their own */
    uint8_t modifiers; /* those of them that are down */
} found;

static bool is_set(const uint8_t *report, uint16_t bit)
{
    return (report[bit >> 3] & (uint8_t)(1u << (bit & 7u))) != 0u;
}

static uint8_t usage_bit(uint8_t usage)
{
    return (uint8_t)(1u << (usage & 7u));
}

static uint32_t value_at(const uint8_t *report, uint16_t bit, uint8_t size)
{
    uint32_t value = 0u;
    if (size == 8u && (bit & 7u) == 0u) {
        return report[bit >> 3];
    }
    while (size > 0u) {
        size--;
        value = (value << 1) | (is_set(report, (uint16_t)(bit + size)) ? 1u : 0u);
    }
    return value;
}

static bool any_bit(const uint8_t *report, uint16_t bit, uint16_t size)
{
    for (; size > 0u; size--, bit++) {
        if (is_set(report, bit)) {
            return true;
        }
    }
    return false;
}

static void read_bits(const mm_report_state *state, uint16_t at, const uint8_t *report, found *f)
{
    uint16_t size = (table_byte(state, at) & 15u) == WIDE ? table_word(state, (uint16_t)(at + STEP_SIZE)) : 1u;
    uint16_t bit = table_word(state, (uint16_t)(at + STEP_BIT));
    uint16_t left = (uint16_t)(table_byte(state, (uint16_t)(at + STEP_COUNT)) + 1u);
    uint8_t usage = table_byte(state, (uint16_t)(at + STEP_USAGE));
    for (; left > 0u; left--, usage++, bit = (uint16_t)(bit + size)) {
        bool down = any_bit(report, bit, size);
        if (down) {
            f->down[usage >> 3] |= usage_bit(usage);
        }
        if (usage >> 3 == MODIFIER_BYTE) {
            f->followed |= usage_bit(usage);
            if (down) {
                f->modifiers |= usage_bit(usage);
            }
        }
    }
}

static void read_array(const mm_report_state *state, uint16_t at, const uint8_t *report, found *f)
{
    uint8_t size = table_byte(state, (uint16_t)(at + ARRAY_SIZE));
    uint8_t bytes = value_bytes(size);
    uint16_t bit = table_word(state, (uint16_t)(at + STEP_BIT));
    uint16_t left;
    for (left = table_word(state, (uint16_t)(at + ARRAY_COUNT)); left > 0u; left--, bit = (uint16_t)(bit + size)) {
        uint32_t value = value_at(report, bit, size);
        uint16_t range = (uint16_t)(at + ARRAY_LENGTH);
        uint8_t ranges;
        for (ranges = table_byte(state, (uint16_t)(at + ARRAY_RANGES)); ranges > 0u; ranges--) {
            uint32_t first = 0u;
            uint8_t i;
            for (i = bytes; i > 0u; i--) {
                first = (first << 8) | table_byte(state, (uint16_t)(range + i - 1u));
            }
            range = (uint16_t)(range + bytes);
            if (value >= first && value - first <= table_byte(state, range)) {
                uint8_t usage = (uint8_t)(table_byte(state, (uint16_t)(range + 1u)) + (value - first));
                f->down[usage >> 3] |= usage_bit(usage);
            }
            range = (uint16_t)(range + 2u);
        }
    }
}

static mm_report_result take_report(mm_report_state *state, const uint8_t *report, uint16_t length)
{
    uint8_t reports, number = 0u;
    uint8_t id;
    uint16_t at, end;
    uint8_t *down;
    found f;
    if (state->table == NULL || report == NULL || length == 0u) {
        return MM_REPORT_MALFORMED;
    }
    id = (table_byte(state, AT_FLAGS) & NUMBERED) != 0u ? report[0] : 0u;
    reports = table_byte(state, AT_REPORTS);
    while (number < reports && table_byte(state, report_entry(state, number)) != id) {
        number++;
    }
    if (number == reports) {
        return MM_REPORT_OTHER;
    }
    if (length < table_word(state, (uint16_t)(report_entry(state, number) + 1u))) {
        return MM_REPORT_MALFORMED;
    }
    memset(&f, 0, sizeof f);
    end = report_entry(state, 0u);
    for (at = HEADER; at < end; at = (uint16_t)(at + step_length(state, at))) {
        uint8_t head = table_byte(state, at);
        if (head >> 4 == number) {
            if ((head & 15u) == ARRAY) {
                read_array(state, at, report, &f);
            } else {
                read_bits(state, at, report, &f);
            }
        }
    }
    down = state->down[number];
    if ((f.down[0] & STATUS) != 0u) {
        down[MODIFIER_BYTE] = (uint8_t)((down[MODIFIER_BYTE] & (uint8_t)~f.followed) | f.modifiers);
        return MM_REPORT_ROLLED;
    }
    memcpy(down, f.down, USAGE_SETS);
    down[0] &= (uint8_t)~NO_KEYS;
    return MM_REPORT_KEYS;
}

mm_report_result mm_report_keys(mm_report_state *state, const uint8_t *report, uint16_t length, uint8_t down[32])
{
    mm_report_result result = take_report(state, report, length);
    uint8_t number, i;
    memcpy(down, state->down[0], USAGE_SETS);
    for (number = 1u; number < MM_REPORTS; number++) {
        for (i = 0u; i < USAGE_SETS; i++) {
            down[i] |= state->down[number][i];
        }
    }
    return result;
}

void mm_report_disconnected(mm_report_state *state)
{
    memset(state->down, 0, sizeof state->down);
}
