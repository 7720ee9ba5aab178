/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#include "mm_descriptor.h"

#if MM_PADS
#include "mm_pad.h"
#endif

#include <stddef.h>
#include <string.h>

/* Prefixes of short items without the two bits of their size (HID 1.11, sections 6.2.2.4 to 6.2.2.8). */
#define ITEM_INPUT 0x80u
#define ITEM_OUTPUT 0x90u
#define ITEM_COLLECTION 0xA0u
#define ITEM_FEATURE 0xB0u
#define ITEM_END_COLLECTION 0xC0u
#define ITEM_USAGE_PAGE 0x04u
#define ITEM_LOGICAL_MINIMUM 0x14u
#define ITEM_LOGICAL_MAXIMUM 0x24u
#define ITEM_REPORT_SIZE 0x74u
#define ITEM_REPORT_ID 0x84u
#define ITEM_REPORT_COUNT 0x94u
#define ITEM_PUSH 0xA4u
#define ITEM_POP 0xB4u
#define ITEM_USAGE 0x08u
#define ITEM_USAGE_MINIMUM 0x18u
#define ITEM_USAGE_MAXIMUM 0x28u
#define ITEM_DELIMITER 0xA8u
#define LONG_ITEM 0xFEu

#define FLAG_CONSTANT 0x01u
#define FLAG_VARIABLE 0x02u
#if MM_PADS
#define FLAG_RELATIVE 0x04u
#define FLAG_NULL 0x40u
#endif

#define DESKTOP_PAGE 0x01u
#define KEYBOARD 0x06u
#define KEYPAD 0x07u
#define KEYBOARD_PAGE 0x07u
#define KEYS 0x100u
#define LED_PAGE 0x08u
#define LEDS 0x06u /* from 0x01 on; the boot output report has no more */
#define APPLICATION 0x01u
#define MOST_BITS 65528u /* 8191 bytes */
#define MOST_VALUE_BITS 32u

/* As mm_report.h describes the table. */
#define HEADER 5u
#define REPORT_ENTRY 3u
#define MOST_RANGES 255u
#define MOST_RUNS_OF_LEDS 255u
enum { BITS = 1, WIDE = 2, ARRAY = 3 };

#if MM_PADS
/* Of a pad, as mm_pad.h describes its table. */
#define JOYSTICK 0x04u
#define GAME_PAD 0x05u
#define BUTTON_PAGE 0x09u
#define BUTTONS 0x20u
#define FIRST_AXIS 0x30u
#define HAT_USAGE 0x39u
#define FIRST_DPAD 0x90u
#define LAST_DPAD 0x93u
#define DPAD_SOURCE 0x20u
#define SAME 0x80u
#define SHAPE_SIGNED 0x20u
#define SHAPE_NULL 0x40u
#define MOST_NUMBER_BITS 16u
#define MOST_CHOICES 255u
#define MOST_PAD_REPORTS 16u
#define NO_PAD 0xFFFFu
#define SEEN_HAT 0x40u
enum { SWITCHES = 1, WIDE_SWITCHES = 2, CHOICES = 3, AXIS = 4, HAT = 5 };
#endif

#define NO_NUMBER 0xFFu
#define MORE 0xFFu /* reading goes on; otherwise a mm_descriptor_result */

typedef struct item {
    uint32_t value; /* without sign */
    uint16_t next;  /* offset of the item after this one */
    uint8_t tag;    /* prefix without size; 0 for a long item, which is skipped */
    uint8_t size;
} item;

typedef struct globals {
    uint32_t low;  /* Logical Minimum, two's complement */
    uint32_t high; /* Logical Maximum as written, without sign */
    uint16_t page;
    uint16_t size;  /* 0xFFFF: that or more */
    uint16_t count; /* the same */
    uint8_t high_size;
    uint8_t id;
} globals;

/* Usages in a row on one page; none if the first is above the last. */
typedef struct run {
    uint16_t page;
    uint16_t first;
    uint16_t last;
    bool is_short; /* its page is that of a Usage Page item */
} run;

/* One end of usages in a row. */
typedef struct usage {
    uint16_t page;
    uint16_t number;
    bool is_short;
} usage;

typedef struct locals {
    uint32_t minimum;
    uint32_t maximum;
    uint8_t minimum_size; /* 0xFF: none */
    uint8_t maximum_size;
    bool in_set;
    bool taken; /* the set has its first usage */
    bool any;
    run last; /* the last usages that were completed; its page is 0 if there are none */
} locals;

typedef struct report {
    uint16_t bits;
    uint8_t id;
    uint8_t number; /* in the table */
} report;

/* The Input field whose steps are made, or the Output field whose LEDs are looked for. */
typedef struct field {
    uint32_t low;  /* of an array: Logical Minimum */
    uint16_t from; /* of an array: the first and the last usage, by index, that its values can name */
    uint16_t to;
    uint16_t zero;  /* the index that the value 0 has after negative ones; else 0 */
    uint16_t index; /* usages that were met; 0xFFFF: that or more */
    run now;        /* usages that are put together */
    uint16_t bit;
    uint16_t size;
    uint16_t count;
    uint16_t ranges_at; /* of the array's step; 0: not begun */
    uint8_t report;
    bool variable;
    bool any;
    bool leds;
#if MM_PADS
    int32_t least; /* of a pad: the logical range */
    int32_t most;
    int32_t first; /* the least and the greatest number that the field's bits hold */
    int32_t last;
    uint32_t place; /* usages that were met */
    uint8_t flags;
#endif
} field;

typedef struct reader {
    const uint8_t *data;
    uint8_t *table;
    uint16_t length;
    uint16_t room;
    uint16_t used;
    uint16_t locals_at; /* where the local items begin, and the page there */
    uint16_t locals_page;
    uint16_t collections;
    uint16_t application; /* the depth of the outermost application collection that is open; 0: none */
    uint16_t leds_at;     /* where the table has the number of runs of LEDs; 0 in the first reading */
    uint16_t leds_bits;   /* of the output report with them */
    uint8_t leds_id;
    bool has_leds;
    bool in_keyboard;      /* that collection is a keyboard or a keypad */
    bool outputs_numbered; /* an output report has an id */
    uint16_t declared; /* usages, ranges of usages and fields */
    uint8_t pushes;
    uint8_t reports;
    uint8_t numbers; /* reports in the table */
    bool numbered;
#if MM_PADS
    uint16_t wanted;   /* the pad whose table is made; NO_PAD: the keyboard's */
    uint8_t pads;      /* that were met */
    uint8_t seen_axes; /* and SEEN_HAT */
    bool in_pad;
    uint16_t lone_end; /* where a field of the pad has a Usage Minimum or Maximum without the other; 0: nowhere */
#endif
    globals now;
    locals local;
    globals pushed[MM_DESCRIPTOR_PUSHES];
    report made[MM_DESCRIPTOR_REPORTS];
} reader;

/* ---- items ---- */

/* The item at `at`; false if it ends after the last byte. */
static bool read_item(const reader *r, uint16_t at, item *found)
{
    uint8_t prefix = r->data[at];
    uint16_t left = (uint16_t)(r->length - at - 1u);
    uint8_t i;
    found->value = 0u;
    found->size = 0u;
    found->tag = 0u;
    if (prefix == LONG_ITEM) {
        if (left < 2u || left - 2u < r->data[at + 1u]) {
            return false;
        }
        found->next = (uint16_t)(at + 3u + r->data[at + 1u]);
        return true;
    }
    found->tag = prefix & 0xFCu;
    found->size = (prefix & 3u) == 3u ? 4u : (uint8_t)(prefix & 3u);
    if (left < found->size) {
        return false;
    }
    for (i = found->size; i > 0u; i--) {
        found->value = (found->value << 8) | r->data[at + i];
    }
    found->next = (uint16_t)(at + 1u + found->size);
    return true;
}

/* Two's complement of 32 bits of a value of `size` bytes. */
static uint32_t extended(uint32_t value, uint8_t size)
{
    uint32_t top = size == 0u ? 0u : (uint32_t)1u << (8u * size - 1u);
    return (value & top) != 0u ? value | (0u - top) : value;
}

static bool is_negative(uint32_t value)
{
    return value >= 0x80000000u;
}

/* Of numbers in two's complement. */
static bool is_less(uint32_t left, uint32_t right)
{
    return (left ^ 0x80000000u) < (right ^ 0x80000000u);
}

static uint16_t at_most_word(uint32_t value)
{
    return value > 0xFFFFu ? 0xFFFFu : (uint16_t)value;
}

/* ---- usages ---- */

static void clear_locals(locals *l)
{
    memset(l, 0, sizeof *l);
    l->minimum_size = 0xFFu;
    l->maximum_size = 0xFFu;
}

static void complete(usage *u, uint32_t value, uint8_t size, uint16_t page)
{
    u->is_short = size <= 2u;
    u->page = u->is_short ? page : (uint16_t)(value >> 16);
    u->number = (uint16_t)value;
}

static void no_usages(run *found)
{
    found->first = 1u;
    found->last = 0u;
}

/* One local item. MORE, with the usages that it completes, or MM_DESCRIPTOR_MALFORMED. */
static uint8_t take_local(locals *l, const item *i, uint16_t page, run *found)
{
    usage first, last;
    no_usages(found);
    l->any = true;
    if (i->tag == ITEM_DELIMITER) {
        if (i->value > 1u || (i->value == 1u) == l->in_set) {
            return MM_DESCRIPTOR_MALFORMED;
        }
        l->in_set = !l->in_set;
        l->taken = false;
        return MORE;
    }
    if (i->tag == ITEM_USAGE) {
        complete(&first, i->value, i->size, page);
        complete(&last, i->value, i->size, page);
    } else {
        if (i->tag == ITEM_USAGE_MINIMUM) {
            l->minimum = i->value;
            l->minimum_size = i->size;
        } else {
            l->maximum = i->value;
            l->maximum_size = i->size;
        }
        if (l->minimum_size == 0xFFu || l->maximum_size == 0xFFu) {
            return MORE;
        }
        complete(&first, l->minimum, l->minimum_size, page);
        complete(&last, l->maximum, l->maximum_size, page);
        l->minimum_size = 0xFFu;
        l->maximum_size = 0xFFu;
        if (first.is_short && !last.is_short) {
            first.page = last.page;
        } else if (last.is_short && !first.is_short) {
            last.page = first.page;
        }
        if (first.page != last.page || first.number > last.number) {
            return MM_DESCRIPTOR_MALFORMED;
        }
    }
    if (!l->taken) { /* the first of a set is the preferred one */
        found->page = first.page;
        found->first = first.number;
        found->last = last.number;
        found->is_short = first.is_short && last.is_short;
        l->last = *found;
    }
    l->taken = l->in_set;
    return MORE;
}

static bool is_local(uint8_t tag)
{
    return tag == ITEM_USAGE || tag == ITEM_USAGE_MINIMUM || tag == ITEM_USAGE_MAXIMUM || tag == ITEM_DELIMITER;
}

/* ---- steps of the table ---- */

static bool put(reader *r, uint8_t value)
{
    if (r->used == r->room) {
        return false;
    }
    r->table[r->used++] = value;
    return true;
}

static bool put_word(reader *r, uint16_t value)
{
    return put(r, (uint8_t)value) && put(r, (uint8_t)(value >> 8));
}

/* The first bytes of a step; its report gets a number in the table. */
static bool begin_step(reader *r, const field *f, uint8_t kind, uint16_t bit)
{
    report *mine = &r->made[f->report];
    if (mine->number == NO_NUMBER) {
#if MM_PADS
        if (r->numbers == (r->wanted != NO_PAD ? MOST_PAD_REPORTS : MM_REPORTS)) {
            return false;
        }
#else
        if (r->numbers == MM_REPORTS) {
            return false;
        }
#endif
        mine->number = r->numbers++;
    }
    return put(r, (uint8_t)(kind | (uint8_t)(mine->number << 4))) && put_word(r, bit);
}

/* A run of LEDs from `bit` on; in the first reading, which looks for their report, no more than that they are there. */
static bool put_run_of_leds(reader *r, uint8_t first, uint8_t more, uint16_t bit)
{
    if (r->leds_at == 0u) {
        r->has_leds = true;
        r->leds_id = r->now.id;
        return true;
    }
    if (r->table[r->leds_at] == MOST_RUNS_OF_LEDS) {
        return false;
    }
    r->table[r->leds_at]++;
    return put_word(r, bit) && put(r, more) && put(r, first);
}

/* LEDs of several bits each are lit by the lowest of them. */
static bool put_leds(reader *r, const field *f, uint8_t first, uint8_t more)
{
    uint16_t bit = (uint16_t)(f->bit + (uint32_t)f->index * f->size); /* of no meaning in the first reading */
    if (first == 0u) { /* no LED */
        if (more == 0u) {
            return true;
        }
        first++;
        more--;
        bit = (uint16_t)(bit + f->size);
    }
    if (f->size == 1u) {
        return put_run_of_leds(r, first, more, bit);
    }
    while (put_run_of_leds(r, first, 0u, bit)) {
        if (more == 0u) {
            return true;
        }
        first++;
        more--;
        bit = (uint16_t)(bit + f->size);
    }
    return false;
}

static bool put_bits(reader *r, const field *f, uint8_t first, uint8_t more, uint16_t size)
{
    uint16_t bit = (uint16_t)(f->bit + f->index * f->size);
    return begin_step(r, f, size == 1u ? BITS : WIDE, bit) && put(r, more) && put(r, first) &&
           (size == 1u || put_word(r, size));
}

/* The values of the usages with the indices `from` to `from` + `more`; `first` is the usage of the first. */
static bool put_range(reader *r, field *f, uint8_t first, uint16_t from, uint8_t more)
{
    uint32_t value = f->low + from;
    uint8_t left;
    if (f->ranges_at == 0u || r->table[f->ranges_at] == MOST_RANGES) {
        if (!begin_step(r, f, ARRAY, f->bit) || !put(r, (uint8_t)f->size) || !put_word(r, f->count) || !put(r, 0u)) {
            return false;
        }
        f->ranges_at = (uint16_t)(r->used - 1u);
    }
    r->table[f->ranges_at]++;
    if (f->size < 32u) {
        value &= ((uint32_t)1u << f->size) - 1u;
    }
    for (left = (uint8_t)((f->size + 7u) >> 3); left > 0u; left--, value >>= 8) {
        if (!put(r, (uint8_t)value)) {
            return false;
        }
    }
    return put(r, more) && put(r, first);
}

/* The keys of an array among the usages from `first` to `first` + `more`. */
static bool put_values(reader *r, field *f, uint8_t first, uint8_t more)
{
    uint16_t from = f->index;
    uint16_t to = (uint16_t)(from + more);
    if (to < from || to == 0xFFFFu) {
        return false;
    }
    if (from < f->from) {
        first = (uint8_t)(first + (f->from - from));
        from = f->from;
    }
    if (to > f->to) {
        to = f->to;
    }
    if (from > to) {
        return true;
    }
    if (from < f->zero && f->zero <= to) {
        more = (uint8_t)(f->zero - from);
        if (!put_range(r, f, first, from, (uint8_t)(more - 1u))) {
            return false;
        }
        first = (uint8_t)(first + more);
        from = f->zero;
    }
    return put_range(r, f, first, from, (uint8_t)(to - from));
}

/* The usages that were put together are complete. */
static bool end_run(reader *r, field *f)
{
    uint16_t more = (uint16_t)(f->now.last - f->now.first);
    uint16_t end = f->leds ? LEDS : KEYS;
    bool ok = true;
    if (f->now.page == (f->leds ? LED_PAGE : KEYBOARD_PAGE) && f->now.first < end) {
        uint8_t first = (uint8_t)f->now.first;
        uint8_t keys = (uint8_t)more;
        if (f->now.last >= end) {
            keys = (uint8_t)(end - 1u - first);
        }
        if (!f->variable) {
            ok = put_values(r, f, first, keys);
        } else if (f->index < f->count) {
            uint16_t most = (uint16_t)(f->count - f->index - 1u);
            if (keys > most) {
                keys = (uint8_t)most;
            }
            ok = f->leds ? put_leds(r, f, first, keys) : put_bits(r, f, first, keys, f->size);
        }
    }
    f->index = more < 0xFFFFu - f->index ? (uint16_t)(f->index + more + 1u) : 0xFFFFu;
    return ok;
}

#if MM_PADS
/* ---- steps of a pad's table ---- */

/* Bits of a value, and what its field says of them. */
static uint8_t shape_of(const field *f, int32_t low)
{
    return (uint8_t)(f->size | (low < 0 ? SHAPE_SIGNED : 0u) | ((f->flags & FLAG_NULL) != 0u ? SHAPE_NULL : 0u));
}

static uint16_t bit_at(const field *f, uint16_t index)
{
    return (uint16_t)(f->bit + (uint32_t)index * f->size);
}

/* `count` values from `index` on for sources in a row, or with SAME for one. */
static bool put_switches(reader *r, const field *f, uint16_t index, uint16_t count, uint8_t source)
{
    int32_t low = f->least, high = f->most;
    bool ranged = low < high;
    if (f->size == 1u && (!ranged || (low <= f->first && f->last <= high))) {
        return begin_step(r, f, SWITCHES, bit_at(f, index)) && put_word(r, count) && put(r, source);
    }
    if (f->size > MOST_NUMBER_BITS || (ranged && (low > f->last || high < f->first))) {
        return true;
    }
    low = !ranged ? 1 : low < f->first ? f->first : low;
    high = !ranged ? 0 : high > f->last ? f->last : high;
    return begin_step(r, f, WIDE_SWITCHES, bit_at(f, index)) && put_word(r, count) && put(r, source) &&
           put(r, shape_of(f, low)) && put_word(r, (uint16_t)low) && put_word(r, (uint16_t)high);
}

/* Values for the usages from `least` to `most` among those from `first` to `last`; `source` is that of `least`. */
static bool put_usages(reader *r, const field *f, const run *u, uint16_t least, uint16_t most, uint8_t source)
{
    uint16_t from = u->first > least ? u->first : least;
    uint16_t to = u->last < most ? u->last : most;
    if (from > to) {
        return true;
    }
    return put_switches(r, f, (uint16_t)(f->place + from - u->first), (uint16_t)(to - from + 1u),
                        (uint8_t)(source + from - least));
}

/* Whether a range is one that is read as numbers. */
static bool is_range(const field *f)
{
    return f->size <= MOST_NUMBER_BITS && f->least < f->most && f->least >= -32768 && f->most <= 65535 &&
           f->most - f->least <= 65535;
}

static bool put_axis(reader *r, const field *f, uint16_t index, uint8_t axis)
{
    uint8_t seen = (uint8_t)(1u << axis);
    if ((r->seen_axes & seen) != 0u || (f->flags & FLAG_RELATIVE) != 0u || !is_range(f)) {
        return true;
    }
    r->seen_axes |= seen;
    return begin_step(r, f, AXIS, bit_at(f, index)) && put(r, shape_of(f, f->least)) && put(r, axis) &&
           put_word(r, (uint16_t)f->least) && put_word(r, (uint16_t)(f->most - f->least));
}

/* A hat of 4 or 8 values whose bits hold one more, for at rest. */
static bool put_hat(reader *r, const field *f, uint16_t index)
{
    int32_t more = is_range(f) ? f->most - f->least : 0;
    if ((r->seen_axes & SEEN_HAT) != 0u || (more != 3 && more != 7) ||
        (f->least <= f->first && f->last <= f->most)) {
        return true;
    }
    r->seen_axes |= SEEN_HAT;
    return begin_step(r, f, HAT, bit_at(f, index)) && put(r, shape_of(f, f->least) & (uint8_t)~SHAPE_NULL) &&
           put(r, (uint8_t)(more + 1)) && put_word(r, (uint16_t)f->least);
}

/* Usages in a row of a field whose values have one usage each. */
static bool put_pad_values(reader *r, const field *f, const run *found)
{
    run u;
    uint16_t number;
    uint32_t left = f->count - f->place - 1u;
    u = *found;
    if ((uint16_t)(u.last - u.first) > left) {
        u.last = (uint16_t)(u.first + left);
    }
    if (u.page == BUTTON_PAGE) {
        return put_usages(r, f, &u, 1u, BUTTONS, 0u);
    }
    if (u.page != DESKTOP_PAGE) {
        return true;
    }
    for (number = FIRST_AXIS; number <= HAT_USAGE; number++) {
        uint16_t index = (uint16_t)(f->place + number - u.first);
        if (number < u.first || number > u.last) {
            continue;
        }
        if (number < FIRST_AXIS + MM_PAD_AXES && !put_axis(r, f, index, (uint8_t)(number - FIRST_AXIS))) {
            return false;
        }
        if (number == HAT_USAGE && !put_hat(r, f, index)) {
            return false;
        }
    }
    return put_usages(r, f, &u, FIRST_DPAD, LAST_DPAD, DPAD_SOURCE);
}

/* Usages in a row that the values of an array name, counted from the logical minimum. */
static bool put_choices(reader *r, field *f, const run *u)
{
    uint16_t least = u->page == BUTTON_PAGE ? 1u : FIRST_DPAD;
    uint16_t most = u->page == BUTTON_PAGE ? BUTTONS : LAST_DPAD;
    uint16_t from = u->first > least ? u->first : least;
    uint16_t to = u->last < most ? u->last : most;
    int32_t low = f->least < f->first ? f->first : f->least;
    int32_t high = f->most > f->last ? f->last : f->most;
    int32_t begin, end;
    if ((u->page != BUTTON_PAGE && u->page != DESKTOP_PAGE) || from > to || f->least > f->last) {
        return true;
    }
    begin = f->least + (int32_t)(f->place + from - u->first);
    end = begin + (to - from);
    end = end > high ? high : end;
    if (begin < low) {
        if (low > end) {
            return true;
        }
        from = (uint16_t)(from + (low - begin));
        begin = low;
    }
    if (begin > end) {
        return true;
    }
    if (f->ranges_at == 0u) {
        if (!begin_step(r, f, CHOICES, f->bit) || !put(r, (uint8_t)f->size) || !put(r, (uint8_t)f->count) || !put(r, 0u)) {
            return false;
        }
        f->ranges_at = (uint16_t)(r->used - 1u);
    }
    if (r->table[f->ranges_at] == MOST_CHOICES) {
        return true;
    }
    r->table[f->ranges_at]++;
    return put_word(r, (uint16_t)((uint32_t)begin & (((uint32_t)1u << f->size) - 1u))) &&
           put(r, (uint8_t)(end - begin + 1)) && put(r, (uint8_t)(from - least + (u->page == BUTTON_PAGE ? 0u : DPAD_SOURCE)));
}

static bool add_pad_run(reader *r, field *f, const run *u)
{
    bool ok = true;
    f->any = true;
    f->now = *u;
    if (!f->variable) {
        ok = put_choices(r, f, u);
    } else if (f->place < f->count) {
        ok = put_pad_values(r, f, u);
    }
    f->place += (uint32_t)(u->last - u->first) + 1u;
    return ok;
}

/* The values of a field that have no usage of their own: the last one answers for them. */
static bool end_pad_field(reader *r, const field *f)
{
    uint16_t last = f->now.last;
    uint8_t source;
    if (!f->any || !f->variable || f->place >= f->count) {
        return true;
    }
    if (f->now.page == BUTTON_PAGE && last >= 1u && last <= BUTTONS) {
        source = (uint8_t)(last - 1u);
    } else if (f->now.page == DESKTOP_PAGE && last >= FIRST_DPAD && last <= LAST_DPAD) {
        source = (uint8_t)(last - FIRST_DPAD + DPAD_SOURCE);
    } else {
        return true;
    }
    return put_switches(r, f, (uint16_t)f->place, (uint16_t)(f->count - f->place), (uint8_t)(source | SAME));
}

/* The logical range of a pad's field, and what its bits hold. */
static void set_range(const reader *r, field *f)
{
    uint32_t low = r->now.low;
    uint32_t high = extended(r->now.high, r->now.high_size);
    if (!is_negative(low) && is_negative(high)) { /* can only be meant without sign */
        high = is_negative(r->now.high) ? 0x7FFFFFFFu : r->now.high;
    }
    f->least = (int32_t)low;
    f->most = (int32_t)high;
    f->first = 0;
    f->last = 0;
    if (f->size <= MOST_NUMBER_BITS) {
        int32_t half = (int32_t)1 << (f->size - 1u);
        f->first = is_negative(low) ? -half : 0;
        f->last = is_negative(low) ? half - 1 : 2 * half - 1;
    }
}
#endif

static bool add_run(reader *r, field *f, const run *more)
{
#if MM_PADS
    if (r->wanted != NO_PAD) {
        return add_pad_run(r, f, more);
    }
#endif
    if (f->any && more->page == f->now.page && more->first != 0u && more->first - 1u == f->now.last) {
        f->now.last = more->last;
        return true;
    }
    if (f->any && !end_run(r, f)) {
        return false;
    }
    f->any = true;
    f->now = *more;
    return true;
}

/* The last usages of a field, and then the values of a bitmap for which the last of them answers; LEDs have none. */
static bool end_field(reader *r, field *f)
{
#if MM_PADS
    if (r->wanted != NO_PAD) {
        return end_pad_field(r, f);
    }
#endif
    if (!f->any) {
        return true;
    }
    if (!end_run(r, f)) {
        return false;
    }
    if (f->leds || !f->variable || f->index >= f->count || f->now.page != KEYBOARD_PAGE || f->now.last >= KEYS) {
        return true;
    }
    return put_bits(r, f, (uint8_t)f->now.last, 0u, (uint16_t)((f->count - f->index) * f->size));
}

/* The values of an array that its size and its logical range allow, counted from the logical minimum. */
static void limit_values(const globals *now, field *f)
{
    uint32_t low = now->low;
    uint32_t high = now->high; /* a negative one above a minimum that is not is meant without sign */
    uint32_t half = (uint32_t)1u << (f->size - 1u);
    bool none;
    f->low = low;
    if (is_negative(low)) {
        high = extended(high, now->high_size);
        f->zero = at_most_word(0u - low);
        if (is_less(low, 0u - half)) {
            low = 0u - half;
        }
        if (is_less(half - 1u, high)) {
            high = half - 1u;
        }
        none = is_less(high, low);
    } else {
        if (high > 2u * half - 1u) {
            high = 2u * half - 1u;
        }
        none = high < low;
    }
    f->from = none ? 1u : at_most_word(low - f->low);
    f->to = none ? 0u : at_most_word(high - f->low);
}

/* ---- fields ---- */

/*
 * Goes over the local items before the main item at `end`. A short usage takes the page of the main item, save before
 * `anchor`, where the last usage stands that was declared on that page: devices mix pages so.
 * First pass (`f` null): gives the anchor. Second pass: makes the steps; 0 if there is no room for them.
 */
static uint16_t pass_over(reader *r, field *f, uint16_t end, uint16_t anchor)
{
    uint16_t page = r->locals_page;
    uint16_t at = r->locals_at;
    locals l;
    item i;
    run found;
    clear_locals(&l);
    while (at < end && read_item(r, at, &i)) {
        at = i.next;
        if (i.tag == ITEM_USAGE_PAGE) {
            page = (uint16_t)i.value;
        }
        if (!is_local(i.tag)) {
            continue;
        }
        (void)take_local(&l, &i, page, &found);
        if (found.first > found.last) {
            continue;
        }
        if (f == NULL) {
            if (found.is_short && found.page == r->now.page) {
                anchor = at;
            }
            continue;
        }
        if (found.is_short && at > anchor) {
            found.page = r->now.page;
        }
        if (!add_run(r, f, &found)) {
            return 0u;
        }
    }
    return f == NULL ? anchor : (uint16_t)end_field(r, f);
}

/* The report of the id in force, new or known; NO_NUMBER: no room. */
static uint8_t find_report(reader *r)
{
    uint8_t i;
    for (i = 0u; i < r->reports; i++) {
        if (r->made[i].id == r->now.id) {
            return i;
        }
    }
    if (i == MM_DESCRIPTOR_REPORTS) {
        return NO_NUMBER;
    }
    r->made[i].id = r->now.id;
    r->made[i].bits = r->now.id != 0u ? 8u : 0u;
    r->made[i].number = NO_NUMBER;
    r->reports++;
    return i;
}

/* The first report with an id: those without one cannot be told apart from now on. */
static void begin_numbers(reader *r)
{
    uint8_t i;
    for (i = 0u; i < r->reports; i++) {
        r->made[i].number = NO_NUMBER;
    }
    r->numbered = true;
    r->numbers = 0u;
    r->used = HEADER;
#if MM_PADS
    r->seen_axes = 0u;
    r->lone_end = 0u;
#endif
}

static uint8_t take_input(reader *r, uint32_t flags, uint16_t end)
{
    field f;
    uint32_t bits = (uint32_t)r->now.size * r->now.count;
    uint8_t number = find_report(r);
    if (number == NO_NUMBER || bits > (uint32_t)(MOST_BITS - r->made[number].bits)) {
        return MM_DESCRIPTOR_NO_ROOM;
    }
    if (r->now.id != 0u && !r->numbered) {
        begin_numbers(r);
    }
    memset(&f, 0, sizeof f);
    f.bit = r->made[number].bits;
    f.size = r->now.size;
    f.count = r->now.count;
    f.report = number;
    f.variable = (flags & FLAG_VARIABLE) != 0u;
    r->made[number].bits = (uint16_t)(f.bit + bits);
    if ((flags & FLAG_CONSTANT) != 0u || bits == 0u || (r->numbered && r->now.id == 0u)) {
        return MORE;
    }
#if MM_PADS
    if (r->wanted != NO_PAD) {
        if (r->in_pad && r->lone_end == 0u && (r->local.minimum_size != 0xFFu || r->local.maximum_size != 0xFFu)) {
            r->lone_end = end;
        }
        if (!r->in_pad || (!f.variable && (f.size > MOST_NUMBER_BITS || f.count > MOST_CHOICES))) {
            return MORE;
        }
        f.flags = (uint8_t)flags;
        set_range(r, &f);
        return pass_over(r, &f, end, pass_over(r, NULL, end, 0u)) != 0u ? MORE : (uint8_t)MM_DESCRIPTOR_NO_ROOM;
    }
#endif
    if (!f.variable) {
        if (f.size > MOST_VALUE_BITS) {
            return MORE;
        }
        limit_values(&r->now, &f);
    }
    return pass_over(r, &f, end, pass_over(r, NULL, end, 0u)) != 0u ? MORE : (uint8_t)MM_DESCRIPTOR_NO_ROOM;
}

/* Only the LEDs of one report count: the first output report of a keyboard or keypad that has any. */
static uint8_t take_output(reader *r, uint32_t flags, uint16_t end)
{
    field f;
    uint32_t bits = (uint32_t)r->now.size * r->now.count;
    memset(&f, 0, sizeof f);
#if MM_PADS
    if (r->wanted != NO_PAD) {
        return MORE;
    }
#endif
    if (r->leds_at != 0u) {
        if (r->now.id != r->leds_id) {
            return MORE;
        }
        if (bits > (uint32_t)(MOST_BITS - r->leds_bits)) {
            return MM_DESCRIPTOR_NO_ROOM;
        }
        f.bit = r->leds_bits;
        r->leds_bits = (uint16_t)(f.bit + bits);
    } else {
        if (r->now.id != 0u && !r->outputs_numbered) { /* one without an id cannot be told apart from now on */
            r->outputs_numbered = true;
            r->has_leds = false;
        }
        if (r->has_leds || (r->outputs_numbered && r->now.id == 0u)) {
            return MORE;
        }
    }
    if (!r->in_keyboard || (flags & FLAG_CONSTANT) != 0u || (flags & FLAG_VARIABLE) == 0u || bits == 0u) {
        return MORE;
    }
    f.size = r->now.size;
    f.count = r->now.count;
    f.variable = true;
    f.leds = true;
    return pass_over(r, &f, end, pass_over(r, NULL, end, 0u)) != 0u ? MORE : (uint8_t)MM_DESCRIPTOR_NO_ROOM;
}

/* ---- the items one by one ---- */

static uint8_t take_pop(reader *r, uint16_t next)
{
    if (r->pushes == 0u) {
        return MM_DESCRIPTOR_MALFORMED;
    }
    r->pushes--;
    if (r->local.any && r->pushed[r->pushes].page != r->now.page) {
        return MM_DESCRIPTOR_NO_ROOM;
    }
    r->now = r->pushed[r->pushes];
    if (!r->local.any) {
        r->locals_at = next;
        r->locals_page = r->now.page;
    }
    return MORE;
}

static uint8_t take_global(reader *r, const item *i)
{
    switch (i->tag) {
    case ITEM_USAGE_PAGE:
        r->now.page = (uint16_t)i->value;
        break;
    case ITEM_LOGICAL_MINIMUM:
        r->now.low = extended(i->value, i->size);
        break;
    case ITEM_LOGICAL_MAXIMUM:
        r->now.high = i->value;
        r->now.high_size = i->size;
        break;
    case ITEM_REPORT_SIZE:
        r->now.size = at_most_word(i->value);
        break;
    case ITEM_REPORT_COUNT:
        r->now.count = at_most_word(i->value);
        break;
    case ITEM_REPORT_ID:
        if (i->value < 1u || i->value > 0xFFu) {
            return MM_DESCRIPTOR_MALFORMED;
        }
        r->now.id = (uint8_t)i->value;
        break;
    case ITEM_PUSH:
        if (r->pushes == MM_DESCRIPTOR_PUSHES) {
            return MM_DESCRIPTOR_NO_ROOM;
        }
        r->pushed[r->pushes++] = r->now;
        break;
    case ITEM_POP:
        return take_pop(r, i->next);
    default:
        break; /* reserved, long, or nothing that keys depend on */
    }
    return MORE;
}

static void open_collection(reader *r, uint32_t kind)
{
    const run *named = &r->local.last;
    r->collections++;
    if (kind != APPLICATION || r->application != 0u) {
        return;
    }
    r->application = r->collections;
    r->in_keyboard = (named->is_short ? r->now.page : named->page) == DESKTOP_PAGE &&
                     (named->last == KEYBOARD || named->last == KEYPAD);
#if MM_PADS
    if ((named->is_short ? r->now.page : named->page) == DESKTOP_PAGE &&
        (named->last == JOYSTICK || named->last == GAME_PAD)) {
        r->in_pad = r->pads == r->wanted;
        r->pads = r->pads < 0xFFu ? (uint8_t)(r->pads + 1u) : 0xFFu;
    }
#endif
}

static void close_collection(reader *r)
{
    if (r->collections == r->application) {
        r->application = 0u;
        r->in_keyboard = false;
#if MM_PADS
        r->in_pad = false;
#endif
    }
    r->collections--;
}

static uint8_t take_main(reader *r, const item *i, uint16_t at)
{
    uint8_t result = MORE;
    if (r->local.in_set && (i->tag != ITEM_END_COLLECTION || r->collections > 0u)) {
        return MM_DESCRIPTOR_MALFORMED;
    }
    if (i->tag == ITEM_COLLECTION) {
        open_collection(r, i->value);
    } else if (i->tag == ITEM_END_COLLECTION) {
        if (r->collections == 0u) {
            return MM_DESCRIPTOR_MALFORMED;
        }
        close_collection(r);
    } else if (i->tag == ITEM_INPUT && r->leds_at == 0u) {
        result = take_input(r, i->value, at);
    } else if (i->tag == ITEM_OUTPUT) {
        result = take_output(r, i->value, at);
    }
    clear_locals(&r->local);
    r->locals_at = i->next;
    r->locals_page = r->now.page;
    return result;
}

static bool is_main(uint8_t tag)
{
    return tag == ITEM_INPUT || tag == ITEM_OUTPUT || tag == ITEM_FEATURE || tag == ITEM_COLLECTION ||
           tag == ITEM_END_COLLECTION;
}

/* Reads all items, with globals, locals and collections as at the start. MORE, or why not; *size is then the place. */
static uint8_t read_all(reader *r, uint16_t *size)
{
    run found;
    item i;
    uint16_t at = 0u;
    memset(&r->now, 0, sizeof r->now);
    clear_locals(&r->local);
    r->locals_at = 0u;
    r->locals_page = 0u;
    r->pushes = 0u;
    r->declared = 0u;
    while (at < r->length) {
        uint8_t result;
        *size = at;
        if (!read_item(r, at, &i)) {
            return MM_DESCRIPTOR_MALFORMED;
        }
        if (r->declared > MM_DESCRIPTOR_USAGES) {
            return MM_DESCRIPTOR_MALFORMED;
        }
        if (is_main(i.tag)) {
            result = take_main(r, &i, at);
            if (i.tag != ITEM_COLLECTION && i.tag != ITEM_END_COLLECTION) {
                r->declared++;
            }
        } else if (is_local(i.tag)) {
            result = take_local(&r->local, &i, r->now.page, &found);
            if (found.first <= found.last) {
                r->declared++;
            }
        } else {
            result = take_global(r, &i);
        }
        if (result != MORE) {
            return result;
        }
        at = i.next;
    }
    *size = r->length;
    return r->collections != 0u ? (uint8_t)MM_DESCRIPTOR_MALFORMED : MORE;
}

/* Header and reports around the steps. */
static bool put_reports(reader *r)
{
    uint16_t steps = (uint16_t)(r->used - HEADER);
    uint8_t number, i;
    r->table[0] = MM_REPORT_TABLE_VERSION;
    r->table[1] = r->numbered ? 1u : 0u;
    r->table[2] = r->numbers;
    r->table[3] = (uint8_t)steps;
    r->table[4] = (uint8_t)(steps >> 8);
    for (number = 0u; number < r->numbers; number++) {
        for (i = 0u; r->made[i].number != number; i++) {
        }
        if (!put(r, r->made[i].id) || !put_word(r, (uint16_t)((r->made[i].bits + 7u) >> 3))) {
            return false;
        }
    }
    return true;
}

/* The LEDs at the end of the table, by a second reading: now it is known in which report they are. */
static bool put_all_leds(reader *r, uint16_t *size)
{
    uint16_t length;
    r->leds_at = r->used;
    if (!put(r, 0u)) {
        return false;
    }
    if (!r->has_leds) {
        return true;
    }
    r->leds_bits = r->leds_id != 0u ? 8u : 0u;
    if (!put(r, r->leds_id) || !put_word(r, 0u) || read_all(r, size) != MORE) {
        return false;
    }
    length = (uint16_t)((r->leds_bits + 7u) >> 3);
    r->table[r->leds_at + 2u] = (uint8_t)length;
    r->table[r->leds_at + 3u] = (uint8_t)(length >> 8);
    return true;
}

/* Starts the reading. MORE, or why not. */
static uint8_t begin(reader *r, const uint8_t *descriptor, uint16_t length, uint8_t *table, uint16_t room, uint16_t *size)
{
    *size = 0u;
    if (descriptor == NULL || length == 0u) {
        return MM_DESCRIPTOR_MALFORMED;
    }
    if (table == NULL || room < HEADER) {
        return MM_DESCRIPTOR_NO_ROOM;
    }
    memset(r, 0, sizeof *r);
    r->data = descriptor;
    r->length = length;
    r->table = table;
    r->room = room;
    r->used = HEADER;
    return MORE;
}

mm_descriptor_result mm_read_descriptor(const uint8_t *descriptor, uint16_t length, uint8_t *table, uint16_t room,
                                        uint16_t *size)
{
    reader r;
    uint8_t result = begin(&r, descriptor, length, table, room, size);
    if (result == MORE) {
#if MM_PADS
        r.wanted = NO_PAD;
#endif
        result = read_all(&r, size);
    }
    if (result != MORE) {
        return (mm_descriptor_result)result;
    }
    if (r.numbers == 0u) {
        return MM_DESCRIPTOR_NO_KEYS;
    }
    if (!put_reports(&r) || !put_all_leds(&r, size)) {
        return MM_DESCRIPTOR_NO_ROOM;
    }
    *size = r.used;
    return MM_DESCRIPTOR_READ;
}

#if MM_PADS
mm_descriptor_result mm_read_pad(const uint8_t *descriptor, uint16_t length, uint8_t number, uint8_t *table,
                                 uint16_t room, uint16_t *size)
{
    reader r;
    uint8_t result = begin(&r, descriptor, length, table, room, size);
    if (result == MORE) {
        r.wanted = number;
        result = read_all(&r, size);
    }
    if (result != MORE) {
        return (mm_descriptor_result)result;
    }
    if (r.lone_end != 0u) {
        *size = r.lone_end;
        return MM_DESCRIPTOR_MALFORMED;
    }
    if (r.numbers == 0u) {
        *size = r.pads;
        return MM_DESCRIPTOR_NO_KEYS;
    }
    if (!put_reports(&r)) {
        return MM_DESCRIPTOR_NO_ROOM;
    }
    table[0] = MM_PAD_TABLE_VERSION;
    *size = r.used;
    return MM_DESCRIPTOR_READ;
}
#endif
