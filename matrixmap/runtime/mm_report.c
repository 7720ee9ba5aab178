/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#include "mm_report.h"

#include <stddef.h>
#include <string.h>

#define AT_VERSION 0u
#define AT_FLAGS 1u
#define AT_REPORTS 2u
#define HEADER 5u
#define REPORT_ENTRY 3u /* bytes */
#define NUMBERED 0x01u
#define SHORTEST_STEP 5u /* bytes, of kind 1 */
#define STEP 7u          /* of the others, without ranges */
#define RUN_OF_LEDS 4u   /* bytes */
#define LAST_LED 5u      /* usage of the LED page: Kana */

enum { BITS = 1, WIDE = 2, ARRAY = 3 };

#define USAGE_SETS 32u /* bytes */
#define STATUS 0x0Eu   /* usages 0x01 to 0x03 */
#define NO_KEYS 0x0Fu  /* and 0x00 */
#define MODIFIER_BYTE 28u
#define LONGEST 8191u  /* bytes of a report: its bits have numbers of two bytes */

/* ---- the table ---- */

/* A place in a table. */
typedef struct cursor {
    const uint8_t *at;
    bool in_ram;
} cursor;

/* A step without the ranges of an array, which come after it. */
typedef struct step {
    uint16_t bit;
    uint16_t size;
    uint16_t count;
    uint8_t kind;
    uint8_t report;
    uint8_t usage;
    uint8_t ranges;
} step;

static uint8_t next_byte(cursor *c)
{
    const uint8_t *address = c->at++;
    return c->in_ram ? *address : (uint8_t)MM_READ(address);
}

static uint16_t next_word(cursor *c)
{
    uint8_t low = next_byte(c);
    return (uint16_t)(low | (uint16_t)((uint16_t)next_byte(c) << 8));
}

static void place(cursor *c, const mm_report_state *state, uint16_t offset)
{
    c->at = state->table + offset;
    c->in_ram = state->in_ram;
}

static uint8_t value_bytes(const step *s)
{
    return (uint8_t)((s->size + 7u) >> 3);
}

static void read_step(cursor *c, step *s)
{
    uint8_t head = next_byte(c);
    s->kind = head & 15u;
    s->report = head >> 4;
    s->bit = next_word(c);
    s->ranges = 0u;
    s->usage = 0u;
    if (s->kind == ARRAY) {
        s->size = next_byte(c);
        s->count = next_word(c);
        s->ranges = next_byte(c);
        return;
    }
    s->count = (uint16_t)(next_byte(c) + 1u);
    s->usage = next_byte(c);
    s->size = s->kind == BITS ? 1u : next_word(c);
}

/* Ranges are skipped too. */
static uint16_t length_of(const step *s)
{
    return s->kind == BITS ? SHORTEST_STEP : (uint16_t)(STEP + s->ranges * (value_bytes(s) + 2u));
}

/* Whether so many bits from `bit` on are in a report of `length` bytes, of which the first bits are its id. */
static bool bits_are_inside(uint16_t bit, uint32_t bits, uint8_t id_bits, uint16_t length)
{
    uint16_t end = (uint16_t)(8u * length);
    return bit >= id_bits && bit <= end && bits <= (uint32_t)(end - bit);
}

/* Whether a step, of which `left` bytes are there, is whole, and reads only bits of a report of `length` bytes. */
static bool step_is_sound(cursor *c, const step *s, uint16_t left, uint8_t id_bits, uint16_t length)
{
    uint8_t i;
    if (s->kind < BITS || s->kind > ARRAY || left < length_of(s) ||
        !bits_are_inside(s->bit, (uint32_t)s->size * s->count, id_bits, length)) {
        return false;
    }
    if (s->kind != ARRAY) {
        return s->usage + s->count <= 256u;
    }
    if (s->size < 1u || s->size > 32u) {
        return false;
    }
    for (i = 0u; i < s->ranges; i++) {
        uint8_t more;
        c->at += value_bytes(s);
        more = next_byte(c);
        if (more > 255u - next_byte(c)) {
            return false;
        }
    }
    return true;
}

/* The reports behind the steps; `c` is then behind the length of report `number`. */
static uint16_t length_of_report(const mm_report_state *state, uint16_t steps, uint8_t number)
{
    cursor c;
    place(&c, state, (uint16_t)(HEADER + steps + REPORT_ENTRY * number + 1u));
    return next_word(&c);
}

/* The LEDs behind the reports: `left` bytes from `c` on are just these. */
static bool leds_are_sound(cursor *c, uint16_t left)
{
    uint8_t runs, id_bits;
    uint16_t length;
    if (left == 0u) {
        return false;
    }
    runs = next_byte(c);
    if (left - 1u != (runs > 0u ? REPORT_ENTRY + (uint16_t)(RUN_OF_LEDS * runs) : 0u)) {
        return false;
    }
    if (runs == 0u) {
        return true;
    }
    id_bits = next_byte(c) != 0u ? 8u : 0u;
    length = next_word(c);
    if (length > LONGEST) {
        return false;
    }
    for (; runs > 0u; runs--) {
        uint16_t bit = next_word(c);
        uint8_t more = next_byte(c);
        uint8_t usage = next_byte(c);
        if (usage < 1u || usage > LAST_LED || more > LAST_LED - usage ||
            !bits_are_inside(bit, more + 1u, id_bits, length)) {
            return false;
        }
    }
    return true;
}

/* Whole table checked once, so that no later read needs a bound. */
static bool table_is_sound(const mm_report_state *state, uint16_t size)
{
    cursor c;
    uint16_t steps, left;
    uint8_t id_bits, number, reports;
    place(&c, state, AT_VERSION);
    if (size < HEADER || next_byte(&c) != MM_REPORT_TABLE_VERSION) {
        return false;
    }
    id_bits = (next_byte(&c) & NUMBERED) != 0u ? 8u : 0u;
    reports = next_byte(&c);
    steps = next_word(&c);
    if (reports < 1u || reports > MM_REPORTS || size - HEADER < REPORT_ENTRY * reports ||
        size - HEADER - REPORT_ENTRY * reports < steps) {
        return false;
    }
    for (number = 0u; number < reports; number++) {
        uint16_t length = length_of_report(state, steps, number);
        if (length < 1u || length > LONGEST) {
            return false;
        }
    }
    for (left = steps; left > 0u;) {
        step s;
        if (left < SHORTEST_STEP) {
            return false;
        }
        /* What is read beyond a short step that is none are the reports, of which there is one at least. */
        read_step(&c, &s);
        if (s.report >= reports || !step_is_sound(&c, &s, left, id_bits, length_of_report(state, steps, s.report))) {
            return false;
        }
        place(&c, state, (uint16_t)(HEADER + steps - left + length_of(&s)));
        left = (uint16_t)(left - length_of(&s));
    }
    place(&c, state, (uint16_t)(HEADER + steps + REPORT_ENTRY * reports));
    return leds_are_sound(&c, (uint16_t)(size - HEADER - REPORT_ENTRY * reports - steps));
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

static uint8_t bit_of(uint8_t number)
{
    return (uint8_t)(1u << (number & 7u));
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

static void read_bits(const step *s, const uint8_t *report, found *f)
{
    uint16_t bit = s->bit;
    uint16_t left = s->count;
    uint8_t usage = s->usage;
    for (; left > 0u; left--, usage++, bit = (uint16_t)(bit + s->size)) {
        bool down = any_bit(report, bit, s->size);
        if (down) {
            f->down[usage >> 3] |= bit_of(usage);
        }
        if (usage >> 3 == MODIFIER_BYTE) {
            f->followed |= bit_of(usage);
            if (down) {
                f->modifiers |= bit_of(usage);
            }
        }
    }
}

/* `c` is at the ranges. */
static void read_array(const cursor *ranges, const step *s, const uint8_t *report, found *f)
{
    uint16_t bit = s->bit;
    uint16_t left;
    for (left = s->count; left > 0u; left--, bit = (uint16_t)(bit + s->size)) {
        uint32_t value = value_at(report, bit, (uint8_t)s->size);
        cursor c;
        uint8_t i;
        c.at = ranges->at;
        c.in_ram = ranges->in_ram;
        for (i = s->ranges; i > 0u; i--) {
            uint32_t offset = value;
            uint8_t shift, more, usage;
            for (shift = 0u; shift < s->size; shift = (uint8_t)(shift + 8u)) {
                offset -= (uint32_t)next_byte(&c) << shift;
            }
            more = next_byte(&c);
            usage = next_byte(&c);
            if (offset <= more) { /* a value below the first wraps to a large one */
                usage = (uint8_t)(usage + offset);
                f->down[usage >> 3] |= bit_of(usage);
            }
        }
    }
}

/* A report beside its id: neither `report` nor `length` has the byte of the id, which the bits of steps count. */
static mm_report_result take_report(mm_report_state *state, uint8_t id, const uint8_t *report, uint16_t length)
{
    cursor c;
    uint8_t id_bytes, reports, number;
    uint16_t steps, left;
    uint8_t *down;
    found f;
    if (state->table == NULL || report == NULL) {
        return MM_REPORT_MALFORMED;
    }
    place(&c, state, AT_FLAGS);
    id_bytes = next_byte(&c) & NUMBERED;
    reports = next_byte(&c);
    steps = next_word(&c);
    place(&c, state, (uint16_t)(HEADER + steps));
    for (number = 0u; next_byte(&c) != id; c.at += 2) {
        if (++number == reports) {
            return MM_REPORT_OTHER;
        }
    }
    if (length < next_word(&c) - id_bytes) {
        return MM_REPORT_MALFORMED;
    }
    memset(&f, 0, sizeof f);
    place(&c, state, HEADER);
    for (left = steps; left > 0u;) {
        step s;
        read_step(&c, &s);
        if (s.report == number) {
            s.bit = (uint16_t)(s.bit - 8u * id_bytes);
            if (s.kind == ARRAY) {
                read_array(&c, &s, report, &f);
            } else {
                read_bits(&s, report, &f);
            }
        }
        left = (uint16_t)(left - length_of(&s));
        place(&c, state, (uint16_t)(HEADER + steps - left));
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

/* The keys of all reports. */
static void all_down(const mm_report_state *state, uint8_t down[32])
{
    uint8_t number, i;
    memcpy(down, state->down[0], USAGE_SETS);
    for (number = 1u; number < MM_REPORTS; number++) {
        for (i = 0u; i < USAGE_SETS; i++) {
            down[i] |= state->down[number][i];
        }
    }
}

mm_report_result mm_report_keys_of(mm_report_state *state, uint8_t id, const uint8_t *report, uint16_t length,
                                   uint8_t down[32])
{
    mm_report_result result = take_report(state, id, report, length);
    all_down(state, down);
    return result;
}

mm_report_result mm_report_keys(mm_report_state *state, const uint8_t *report, uint16_t length, uint8_t down[32])
{
    cursor c;
    if (state->table == NULL || report == NULL || length == 0u) {
        all_down(state, down);
        return MM_REPORT_MALFORMED;
    }
    place(&c, state, AT_FLAGS);
    if ((next_byte(&c) & NUMBERED) != 0u) {
        return mm_report_keys_of(state, report[0], report + 1, (uint16_t)(length - 1u), down);
    }
    return mm_report_keys_of(state, 0u, report, length, down);
}

uint16_t mm_report_leds(const mm_report_state *state, uint8_t leds, uint8_t *id, uint8_t *out, uint16_t room)
{
    cursor c;
    uint8_t reports, runs;
    uint16_t steps, length;
    *id = 0u;
    if (state->table == NULL) {
        return 0u;
    }
    place(&c, state, AT_REPORTS);
    reports = next_byte(&c);
    steps = next_word(&c);
    place(&c, state, (uint16_t)(HEADER + steps + REPORT_ENTRY * reports));
    runs = next_byte(&c);
    if (runs == 0u) {
        return 0u;
    }
    *id = next_byte(&c);
    length = (uint16_t)(next_word(&c) - (*id != 0u ? 1u : 0u));
    if (length > room) {
        return length;
    }
    memset(out, 0, length);
    for (; runs > 0u; runs--) {
        uint16_t bit = (uint16_t)(next_word(&c) - (*id != 0u ? 8u : 0u));
        uint8_t left = (uint8_t)(next_byte(&c) + 1u);
        uint8_t now = (uint8_t)(leds >> (next_byte(&c) - 1u));
        for (; left > 0u; left--, bit++, now >>= 1) {
            if ((now & 1u) != 0u) {
                out[bit >> 3] |= bit_of((uint8_t)bit);
            }
        }
    }
    return length;
}

void mm_report_disconnected(mm_report_state *state)
{
    memset(state->down, 0, sizeof state->down);
}
