/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#include "mm_pad.h"

#include <stddef.h>
#include <string.h>

#define AT_FLAGS 1u
#define HEADER 5u
#define REPORT_ENTRY 3u /* bytes */
#define NUMBERED 0x01u
#define LONGEST 8191u /* bytes of a report: its bits have numbers of two bytes */
#define MOST_REPORTS 16u

#define SAME 0x80u /* a source for all values of its step */
#define SHAPE_BITS 0x1Fu
#define SHAPE_SIGNED 0x20u
#define SHAPE_NULL 0x40u
#define MOST_BITS 16u

enum { SWITCHES = 1, WIDE_SWITCHES = 2, CHOICES = 3, AXIS = 4, HAT = 5 };

#define SWITCH_SOURCES 36u /* buttons and the D-pad */
#define SWITCH_BYTES 5u
#define HAT_SOURCE 36u
#define STICK_SOURCE 40u
#define AXES_SOURCE 44u
#define UP 1u
#define DOWN 2u
#define RIGHT 4u
#define LEFT 8u

/* Where a stick or an axis is; an axis by itself uses LOW_END and HIGH_END in place of the last two. */
enum { NEW = 0, CENTRE = 1, STRAIGHT = 2, DIAGONAL = 3, LOW_END = 2, HIGH_END = 3 };

/* ---- tables ---- */

/* A place in a table. */
typedef struct cursor {
    const uint8_t *at;
    bool in_ram;
} cursor;

/* A step without the runs of an array, which come after it. */
typedef struct step {
    int32_t low;
    uint16_t bit;
    uint16_t count;
    uint16_t high; /* or the span of an axis */
    uint8_t kind;
    uint8_t report;
    uint8_t source; /* or the number of an axis, or the values of a hat */
    uint8_t shape;
    uint8_t runs;
} step;

static uint8_t bit_of(uint8_t number)
{
    return (uint8_t)(1u << number);
}

static bool has_bit(uint8_t bits, uint8_t number)
{
    return (bits & bit_of(number)) != 0u;
}

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

static void place(cursor *c, const mm_pad_state *pad, uint16_t offset)
{
    c->at = pad->table + offset;
    c->in_ram = pad->in_ram;
}

static uint8_t step_bytes(uint8_t kind)
{
    return kind == WIDE_SWITCHES ? 11u : kind == AXIS ? 9u : kind == HAT ? 7u : 6u;
}

static uint16_t length_of(const step *s)
{
    return (uint16_t)(step_bytes(s->kind) + 4u * s->runs);
}

/* A number of 16 bits of a step, with the sign that its shape says. */
static int32_t with_sign(uint16_t number, uint8_t shape)
{
    return (shape & SHAPE_SIGNED) != 0u && number >= 0x8000u ? (int32_t)number - 0x10000 : (int32_t)number;
}

static void read_step(cursor *c, step *s)
{
    uint8_t head = next_byte(c);
    memset(s, 0, sizeof *s);
    s->kind = head & 15u;
    s->report = head >> 4;
    s->bit = next_word(c);
    s->count = 1u;
    if (s->kind == SWITCHES || s->kind == WIDE_SWITCHES) {
        s->count = next_word(c);
        s->source = next_byte(c);
        s->shape = s->kind == WIDE_SWITCHES ? next_byte(c) : 1u;
    } else {
        s->shape = next_byte(c);
        s->source = next_byte(c);
        if (s->kind == CHOICES) {
            s->count = s->source;
            s->runs = next_byte(c);
        }
    }
    if (s->kind == WIDE_SWITCHES || s->kind == AXIS || s->kind == HAT) {
        s->low = with_sign(next_word(c), s->shape);
        s->high = s->kind == HAT ? 0u : next_word(c);
    }
}

static bool sources_are_known(uint8_t first, uint16_t count)
{
    return first < SWITCH_SOURCES && count <= SWITCH_SOURCES - first;
}

/* Whether a step, of which `left` bytes are there, is whole, and reads only bits of a report of `length` bytes. */
static bool step_is_sound(cursor *c, const step *s, uint16_t left, uint8_t id_bits, uint16_t length)
{
    uint8_t size = s->shape & SHAPE_BITS;
    uint8_t i;
    if (s->kind < SWITCHES || s->kind > HAT || left < length_of(s) || size < 1u || size > MOST_BITS ||
        s->bit < id_bits || s->bit > 8u * length ||
        (uint32_t)s->count * size > (uint32_t)(8u * length - s->bit)) {
        return false;
    }
    if (s->kind == AXIS) {
        return s->source < MM_PAD_AXES && s->high > 0u;
    }
    if (s->kind == HAT) {
        return s->source == 4u || s->source == 8u;
    }
    if (s->kind != CHOICES) {
        return sources_are_known(s->source & (uint8_t)~SAME, (s->source & SAME) != 0u ? 1u : s->count);
    }
    for (i = 0u; i < s->runs; i++) {
        uint8_t count;
        c->at += 2;
        count = next_byte(c);
        if (!sources_are_known(next_byte(c), count)) {
            return false;
        }
    }
    return true;
}

static uint16_t length_of_report(const mm_pad_state *pad, uint16_t steps, uint8_t number)
{
    cursor c;
    place(&c, pad, (uint16_t)(HEADER + steps + REPORT_ENTRY * number + 1u));
    return next_word(&c);
}

/* Whole table checked once, so that no later read needs a bound; finds which of X (1) and Y (2) it reads. */
static bool table_is_sound(mm_pad_state *pad, uint16_t size)
{
    cursor c;
    uint16_t steps, left;
    uint8_t id_bits, number, reports;
    place(&c, pad, 0u);
    if (size < HEADER || next_byte(&c) != MM_PAD_TABLE_VERSION) {
        return false;
    }
    id_bits = (next_byte(&c) & NUMBERED) != 0u ? 8u : 0u;
    reports = next_byte(&c);
    steps = next_word(&c);
    if (reports < 1u || reports > MOST_REPORTS || size - HEADER < REPORT_ENTRY * reports ||
        size - HEADER - REPORT_ENTRY * reports != steps) {
        return false;
    }
    for (number = 0u; number < reports; number++) {
        uint16_t length = length_of_report(pad, steps, number);
        if (length < 1u || length > LONGEST) {
            return false;
        }
    }
    for (left = steps; left > 0u;) {
        step s;
        place(&c, pad, (uint16_t)(HEADER + steps - left));
        if (left < step_bytes(next_byte(&c) & 15u)) {
            return false;
        }
        place(&c, pad, (uint16_t)(HEADER + steps - left));
        read_step(&c, &s);
        if (s.report >= reports || !step_is_sound(&c, &s, left, id_bits, length_of_report(pad, steps, s.report))) {
            return false;
        }
        if (s.kind == AXIS && s.source < 2u) {
            pad->stick |= bit_of(s.source);
        }
        left = (uint16_t)(left - length_of(&s));
    }
    return true;
}

static bool start(mm_pad_state *pad, const uint8_t *table, uint16_t size, bool in_ram)
{
    memset(pad, 0, sizeof *pad);
    pad->press = 50u;
    pad->release = 40u;
    pad->table = table;
    pad->in_ram = in_ram;
    if (table == NULL || !table_is_sound(pad, size)) {
        pad->table = NULL;
        return false;
    }
    return true;
}

bool mm_pad_init(mm_pad_state *pad, const uint8_t *table, uint16_t size)
{
    return start(pad, table, size, false);
}

bool mm_pad_init_ram(mm_pad_state *pad, const uint8_t *table, uint16_t size)
{
    return start(pad, table, size, true);
}

/* ---- sticks ---- */

/* So many per cent of the way, in whole steps, rounded up. */
static uint16_t part(uint8_t percent, uint16_t end)
{
    return (uint16_t)(((uint32_t)percent * end + 99u) / 100u);
}

static uint16_t distance(uint16_t value, uint16_t span)
{
    uint16_t other = (uint16_t)(span - value);
    return value > other ? (uint16_t)(value - other) : (uint16_t)(other - value);
}

/* The low end of an axis: left or up. */
static bool is_low(uint16_t value, uint16_t span)
{
    return value < span - value;
}

/*
 * The sectors of the stick, with hysteresis. With 15 bits for each way no product has more than 32:
 * x^2 + y^2 <= 2 * 32767^2, and lesser * (lesser + 2 * greater) <= 3 * 32767^2.
 */
static uint8_t turn(mm_pad_state *pad)
{
    uint16_t x_span = pad->span[0] != 0u ? pad->span[0] : pad->span[1];
    uint16_t y_span = pad->span[1] != 0u ? pad->span[1] : pad->span[0];
    uint32_t across = pad->span[0] != 0u ? distance(pad->value[0], x_span) : 0u;
    uint32_t up = pad->span[1] != 0u ? distance(pad->value[1], y_span) : 0u;
    uint32_t end = x_span;
    uint32_t lesser, greater, away, limit;
    uint8_t was = pad->sides[0];
    bool diagonal;
    uint8_t found = 0u;
    if (x_span != y_span) {
        across *= y_span;
        up *= x_span;
        end *= y_span;
    }
    for (; end > 0x7FFFu; end >>= 1) {
        across >>= 1;
        up >>= 1;
    }
    away = across * across + up * up;
    limit = part(was == CENTRE ? pad->press : pad->release, (uint16_t)end);
    if (away < limit * limit) {
        pad->sides[0] = CENTRE;
        return 0u;
    }
    if (was == NEW) {
        return 0u;
    }
    lesser = across < up ? across : up;
    greater = across < up ? up : across;
    if (was == CENTRE) {
        diagonal = lesser * (lesser + 2u * greater) > greater * greater;
    } else if (was == DIAGONAL) {
        diagonal = 3u * lesser >= greater;
    } else {
        diagonal = 2u * lesser > greater;
    }
    pad->sides[0] = diagonal ? DIAGONAL : STRAIGHT;
    if (diagonal || up > across) {
        found = is_low(pad->value[1], y_span) ? UP : DOWN;
    }
    if (diagonal || up <= across) {
        found = (uint8_t)(found | (is_low(pad->value[0], x_span) ? LEFT : RIGHT));
    }
    return found;
}

/* An axis by itself. */
static uint8_t slide(const mm_pad_state *pad, uint8_t axis)
{
    uint16_t span = pad->span[axis];
    uint16_t away = distance(pad->value[axis], span);
    uint8_t was = pad->sides[axis];
    uint8_t side = is_low(pad->value[axis], span) ? LOW_END : HIGH_END;
    uint8_t percent = was == side || was == NEW ? pad->release : pad->press;
    if ((uint32_t)away * 100u < (uint32_t)percent * span) {
        return CENTRE;
    }
    return was == NEW ? (uint8_t)NEW : side;
}

/* `mask` bits of mm_pad.on from `source` on, which do not go beyond its byte, become `bits`. */
static void show(mm_pad_state *pad, uint8_t source, uint8_t mask, uint8_t bits)
{
    uint8_t *byte = &pad->on[source >> 3];
    uint8_t shift = source & 7u;
    *byte = (uint8_t)((*byte & (uint8_t)~(uint8_t)(mask << shift)) | (uint8_t)(bits << shift));
}

static void move(mm_pad_state *pad)
{
    uint8_t axis;
    uint8_t known = (uint8_t)((pad->span[0] != 0u ? 1u : 0u) | (pad->span[1] != 0u ? 2u : 0u));
    if (known != 0u && known == pad->stick) {
        show(pad, STICK_SOURCE, 15u, turn(pad));
    }
    for (axis = 2u; axis < MM_PAD_AXES; axis++) {
        if (pad->span[axis] != 0u) {
            uint8_t side = slide(pad, axis);
            pad->sides[axis] = side;
            show(pad, (uint8_t)(AXES_SOURCE + 2u * (axis - 2u)), 3u, side < LOW_END ? 0u : bit_of((uint8_t)(side - LOW_END)));
        }
    }
}

/* ---- reports ---- */

/* What one report says of buttons and the D-pad, while it is put together. */
typedef struct found {
    uint8_t own[SWITCH_BYTES]; /* of which it says something */
    uint8_t on[SWITCH_BYTES];
} found;

static uint16_t bits_at(const uint8_t *report, uint16_t bit, uint8_t size)
{
    const uint8_t *at = report + (bit >> 3);
    uint16_t value = 0u;
    uint8_t mask, i;
    if (size == 8u && (bit & 7u) == 0u) { /* the usual axis */
        return *at;
    }
    mask = bit_of(bit & 7u);
    for (i = 0u; i < size; i++) {
        if ((*at & mask) != 0u) {
            value |= (uint16_t)(1u << i);
        }
        mask = (uint8_t)(mask << 1);
        if (mask == 0u) {
            mask = 1u;
            at++;
        }
    }
    return value;
}

static int32_t value_at(const uint8_t *report, uint16_t bit, uint8_t shape)
{
    uint8_t size = shape & SHAPE_BITS;
    int32_t value = bits_at(report, bit, size);
    if ((shape & SHAPE_SIGNED) != 0u && value >= (int32_t)1 << (size - 1u)) {
        value -= (int32_t)1 << size;
    }
    return value;
}

static void tell(found *f, uint8_t source, bool on)
{
    uint8_t bit = bit_of(source & 7u);
    f->own[source >> 3] |= bit;
    if (on) {
        f->on[source >> 3] |= bit;
    }
}

static void read_switches(const step *s, const uint8_t *report, found *f)
{
    uint16_t bit = s->bit;
    uint16_t left;
    uint8_t source = s->source & (uint8_t)~SAME;
    if (s->kind == SWITCHES) {
        for (left = s->count; left > 0u; left--, bit++) {
            tell(f, source, has_bit(report[bit >> 3], bit & 7u));
            source = (s->source & SAME) == 0u ? (uint8_t)(source + 1u) : source;
        }
        return;
    }
    for (left = s->count; left > 0u; left--) {
        int32_t value = value_at(report, bit, s->shape);
        int32_t high = with_sign(s->high, s->shape);
        bool inside = s->low > high || (value >= s->low && value <= high);
        if (!inside) {
            value = value < s->low ? s->low : high;
        }
        if (inside || (s->shape & SHAPE_NULL) == 0u) {
            tell(f, source, value != 0);
        }
        if ((s->source & SAME) == 0u) {
            source++;
        }
        bit = (uint16_t)(bit + (s->shape & SHAPE_BITS));
    }
}

/* `c` is at the runs. */
static void read_choices(const cursor *runs, const step *s, const uint8_t *report, found *f)
{
    uint8_t size = s->shape & SHAPE_BITS;
    uint16_t mask = (uint16_t)(((uint32_t)1u << size) - 1u);
    cursor c;
    uint8_t i;
    c = *runs;
    for (i = s->runs; i > 0u; i--) {
        uint16_t first = next_word(&c);
        uint8_t count = next_byte(&c);
        uint8_t source = next_byte(&c);
        uint16_t left, bit = s->bit;
        uint8_t each;
        for (each = 0u; each < count; each++) {
            tell(f, (uint8_t)(source + each), false);
        }
        for (left = s->count; left > 0u; left--, bit = (uint16_t)(bit + size)) {
            uint16_t offset = (uint16_t)(bits_at(report, bit, size) - first) & mask;
            if (offset < count) {
                tell(f, (uint8_t)(source + offset), true);
            }
        }
    }
}

/* An axis outside its range keeps its value if the field has a null state, and is brought into the range if not. */
static void read_axis(mm_pad_state *pad, const step *s, const uint8_t *report)
{
    int32_t at = value_at(report, s->bit, s->shape) - s->low;
    bool inside = at >= 0 && at <= (int32_t)s->high;
    if (inside || (s->shape & SHAPE_NULL) == 0u) {
        pad->value[s->source] = inside ? (uint16_t)at : at < 0 ? 0u : s->high;
        pad->span[s->source] = s->high;
    }
}

/* The direction so many quarters clockwise from up. */
static uint8_t clockwise(uint8_t quarters)
{
    return quarters == 0u ? UP : quarters == 1u ? RIGHT : quarters == 2u ? DOWN : LEFT;
}

/* A hat outside its range is at rest. */
static void read_hat(mm_pad_state *pad, const step *s, const uint8_t *report)
{
    int32_t at = value_at(report, s->bit, s->shape) - s->low;
    uint8_t shown = 0u;
    if (at >= 0 && at < (int32_t)s->source) {
        uint8_t eighth = (uint8_t)(s->source == 4u ? 2 * at : at);
        uint8_t next = (uint8_t)((eighth + 1u) >> 1); /* straight directions clockwise, and the one after a diagonal */
        shown = (uint8_t)(clockwise(eighth >> 1) | clockwise(next & 3u));
    }
    show(pad, HAT_SOURCE, 15u, shown);
}

mm_pad_result mm_pad_report_of(mm_pad_state *pad, uint8_t id, const uint8_t *report, uint16_t length)
{
    cursor c;
    uint8_t id_bytes, reports, number;
    uint16_t steps, left;
    found f;
    if (pad->table == NULL || report == NULL) {
        return MM_PAD_MALFORMED;
    }
    place(&c, pad, AT_FLAGS);
    id_bytes = next_byte(&c) & NUMBERED;
    reports = next_byte(&c);
    steps = next_word(&c);
    place(&c, pad, (uint16_t)(HEADER + steps));
    for (number = 0u; next_byte(&c) != id; c.at += 2) {
        if (++number == reports) {
            return MM_PAD_OTHER;
        }
    }
    if (length < next_word(&c) - id_bytes) {
        return MM_PAD_MALFORMED;
    }
    memset(&f, 0, sizeof f);
    for (left = steps; left > 0u;) {
        step s;
        place(&c, pad, (uint16_t)(HEADER + steps - left));
        read_step(&c, &s);
        if (s.report == number) {
            s.bit = (uint16_t)(s.bit - 8u * id_bytes);
            if (s.kind == AXIS) {
                read_axis(pad, &s, report);
            } else if (s.kind == HAT) {
                read_hat(pad, &s, report);
            } else if (s.kind == CHOICES) {
                read_choices(&c, &s, report, &f);
            } else {
                read_switches(&s, report, &f);
            }
        }
        left = (uint16_t)(left - length_of(&s));
    }
    for (number = 0u; number < SWITCH_BYTES; number++) {
        pad->on[number] = (uint8_t)((pad->on[number] & (uint8_t)~f.own[number]) | f.on[number]);
    }
    move(pad);
    return MM_PAD_TAKEN;
}

mm_pad_result mm_pad_report(mm_pad_state *pad, const uint8_t *report, uint16_t length)
{
    cursor c;
    if (pad->table == NULL || report == NULL || length == 0u) {
        return MM_PAD_MALFORMED;
    }
    place(&c, pad, AT_FLAGS);
    if ((next_byte(&c) & NUMBERED) != 0u) {
        return mm_pad_report_of(pad, report[0], report + 1, (uint16_t)(length - 1u));
    }
    return mm_pad_report_of(pad, 0u, report, length);
}

bool mm_pad_is_on(const mm_pad_state *pad, uint8_t source)
{
    return source < MM_PAD_SOURCES && has_bit(pad->on[source >> 3], source & 7u);
}

void mm_pad_disconnected(mm_pad_state *pad)
{
    memset(pad->on, 0, sizeof pad->on);
    memset(pad->span, 0, sizeof pad->span);
    memset(pad->sides, 0, sizeof pad->sides);
}

/* ---- the pads of a machine ---- */

#define MAP_PRESS 1u
#define MAP_STROKES 3u
#define MAP_HEADER 5u /* the least: no strokes, no controllers */
#define MOST_SWITCHES 8u
#define LAST_DIRECTION 4u

static void place_in_map(cursor *c, const mm_pads *pads, uint16_t offset)
{
    c->at = pads->map + offset;
    c->in_ram = false;
}

/* So many sources, each of which is one. */
static bool map_sources_are_sound(cursor *c, uint8_t count)
{
    for (; count > 0u; count--) {
        if (next_byte(c) >= MM_PAD_SOURCES) {
            return false;
        }
    }
    return true;
}

/* Whole map checked once. */
static bool map_is_sound(const mm_pads *pads, uint16_t size)
{
    cursor c;
    uint16_t left = size;
    uint8_t press, release, count, switches;
    place_in_map(&c, pads, 0u);
    if (size < MAP_HEADER || next_byte(&c) != MM_PAD_MAP_VERSION) {
        return false;
    }
    press = next_byte(&c);
    release = next_byte(&c);
    count = next_byte(&c);
    if (press > 100u || release < 1u || release > press || left - MAP_HEADER < 2u * count) {
        return false;
    }
    for (; count > 0u; count--) {
        if (next_byte(&c) >= MM_PAD_SOURCES) {
            return false;
        }
        (void)next_byte(&c);
        left = (uint16_t)(left - 2u);
    }
    count = next_byte(&c);
    left = (uint16_t)(left - MAP_HEADER);
    for (; count > 0u; count--) {
        if (left < 2u) {
            return false;
        }
        (void)next_byte(&c);
        switches = next_byte(&c);
        left = (uint16_t)(left - 2u);
        if (switches > MOST_SWITCHES) {
            return false;
        }
        for (; switches > 0u; switches--) {
            uint8_t sources;
            if (left < 2u || next_byte(&c) > LAST_DIRECTION) {
                return false;
            }
            sources = next_byte(&c);
            if (left - 2u < sources || !map_sources_are_sound(&c, sources)) {
                return false;
            }
            left = (uint16_t)(left - 2u - sources);
        }
    }
    return left == 0u;
}

static void set_thresholds(const mm_pads *pads, mm_pad_state *pad)
{
    cursor c;
    if (pads->map != NULL) {
        place_in_map(&c, pads, MAP_PRESS);
        pad->press = next_byte(&c);
        pad->release = next_byte(&c);
    }
}

bool mm_pads_change_map(mm_pads *pads, const uint8_t *map, uint16_t size)
{
    uint8_t i;
    pads->map = map;
    if (map == NULL || !map_is_sound(pads, size)) {
        pads->map = NULL;
        return false;
    }
    for (i = 0u; i < MM_PAD_PLACES; i++) {
        set_thresholds(pads, &pads->pad[i]);
    }
    return true;
}

bool mm_pads_init(mm_pads *pads, const uint8_t *map, uint16_t size)
{
    memset(pads, 0, sizeof *pads);
    return mm_pads_change_map(pads, map, size);
}

uint8_t mm_pads_connect(mm_pads *pads, const uint8_t *table, uint16_t size, bool in_ram)
{
    uint8_t i;
    for (i = 0u; i < MM_PAD_PLACES; i++) {
        if (!has_bit(pads->taken, i)) {
            if (!start(&pads->pad[i], table, size, in_ram)) {
                return MM_PAD_NO_PLACE;
            }
            set_thresholds(pads, &pads->pad[i]);
            pads->taken |= bit_of(i);
            return i;
        }
    }
    return MM_PAD_NO_PLACE;
}

void mm_pads_disconnected(mm_pads *pads, uint8_t place)
{
    if (place < MM_PAD_PLACES) {
        memset(&pads->pad[place], 0, sizeof pads->pad[place]);
        pads->taken &= (uint8_t)~bit_of(place);
    }
}

void mm_pads_swap(mm_pads *pads)
{
    pads->swapped = !pads->swapped;
}

/* The number of controllers; `c` is then at the first. */
static uint8_t go_to_controllers(cursor *c, const mm_pads *pads)
{
    uint8_t strokes;
    place_in_map(c, pads, MAP_STROKES);
    strokes = next_byte(c);
    c->at += 2u * strokes;
    return next_byte(c);
}

uint8_t mm_pads_controllers(const mm_pads *pads)
{
    cursor c;
    return pads->map != NULL ? go_to_controllers(&c, pads) : 0u;
}

/* One controller of the map; the switches that are closed by a pad, which is null if there is none. */
static uint8_t closed_switches(cursor *c, uint8_t switches, const mm_pad_state *pad)
{
    uint8_t mask = 0u, i;
    uint8_t of[LAST_DIRECTION + 1u];
    memset(of, 0, sizeof of);
    for (i = 0u; i < switches; i++) {
        uint8_t direction = next_byte(c);
        uint8_t left = next_byte(c);
        bool on = false;
        for (; left > 0u; left--) {
            uint8_t source = next_byte(c);
            on = on || (pad != NULL && mm_pad_is_on(pad, source));
        }
        if (on) {
            mask |= bit_of(i);
            of[direction] |= bit_of(i);
        }
    }
    for (i = 1u; i < LAST_DIRECTION; i = (uint8_t)(i + 2u)) {
        if (of[i] != 0u && of[i + 1u] != 0u) {
            mask = (uint8_t)(mask & ~(of[i] | of[i + 1u]));
        }
    }
    return mask;
}

uint8_t mm_pads_switches(const mm_pads *pads, uint8_t which, uint8_t *controller)
{
    cursor c;
    uint8_t from = pads->swapped && which < 2u ? (uint8_t)(1u - which) : which;
    bool is_there = from < MM_PAD_PLACES && has_bit(pads->taken, from);
    uint8_t left, switches;
    *controller = 0u;
    if (pads->map == NULL || go_to_controllers(&c, pads) <= which) {
        return 0u;
    }
    for (left = which;; left--) {
        *controller = next_byte(&c);
        switches = next_byte(&c);
        if (left == 0u) {
            return closed_switches(&c, switches, is_there ? &pads->pad[from] : NULL);
        }
        (void)closed_switches(&c, switches, NULL);
    }
}

void mm_pads_usages(const mm_pads *pads, uint8_t down[32])
{
    cursor c;
    uint8_t left;
    if (pads->map == NULL) {
        return;
    }
    place_in_map(&c, pads, MAP_STROKES);
    for (left = next_byte(&c); left > 0u; left--) {
        uint8_t source = next_byte(&c);
        uint8_t usage = next_byte(&c);
        uint8_t i;
        for (i = 0u; i < MM_PAD_PLACES; i++) {
            if (has_bit(pads->taken, i) && mm_pad_is_on(&pads->pad[i], source)) {
                down[usage >> 3] |= bit_of(usage & 7u);
            }
        }
    }
}
