/* SPDX-License-Identifier: MIT */
#include "mm_descriptor.h"

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

#define KEYBOARD_PAGE 0x07u
#define KEYS 0x100u
#define MOST_BITS 65528u /* 8191 bytes */
#define MOST_VALUE_BITS 32u

/* As mm_report.h describes the table. */
#define HEADER 5u
#define REPORT_ENTRY 3u
#define MOST_REPORTS 16u
#define MOST_RANGES 255u
enum { BITS = 1, WIDE = 2, ARRAY = 3 };

#define NO_NUMBER 0xFFu
#define MORE 0xFFu /* reading goes on; otherwise a mm_descriptor_result */

typedef struct item {
    uint32_t value; /* without sign */
    uint16_t next;  /* offset of the item after this one */
    uint8_t tag;    /* prefix without size; 0 for a long item, which is skipped */
    uint8_t size;
} item;

typedef struct globals {
    uint32_t high; /* Logical Maximum as written, without sign */
    int32_t low;
    uint16_t page;
    uint16_t size;  /* 0xFFFF: that or more */
    uint16_t count; /* the same */
    uint8_t high_size;
    uint8_t id;
} globals;

/* Usages in a row, page in the upper 16 bits. */
typedef struct run {
    uint32_t first;
    uint32_t last;
    bool is_short; /* its page is that of a Usage Page item */
} run;

/* The local items since the last main item. */
typedef struct locals {
    uint32_t minimum;
    uint32_t maximum;
    uint8_t minimum_size; /* 0xFF: none */
    uint8_t maximum_size;
    bool in_set;
    bool taken; /* the set has its first usage */
    bool any;
} locals;

typedef struct report {
    uint16_t bits;
    uint8_t id;
    uint8_t number; /* in the table */
} report;

/* The Input field whose steps are made. */
typedef struct field {
    uint32_t index; /* usages of it that were met */
    uint32_t from;  /* of an array: its values are from `low` + `from` to `low` + `to`; none if from > to */
    uint32_t to;
    uint32_t low;
    uint32_t first; /* the run that is put together */
    uint32_t last;
    uint16_t bit;
    uint16_t size;
    uint16_t count;
    uint16_t ranges_at; /* of the array's step; 0: not begun */
    uint8_t report;
    uint8_t variable;
    bool any;
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
    uint8_t pushes;
    uint8_t reports;
    uint8_t numbers; /* reports in the table */
    bool numbered;
    globals now;
    locals local;
    globals pushed[MM_DESCRIPTOR_PUSHES];
    report report[MM_DESCRIPTOR_REPORTS];
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

static int32_t as_signed(uint32_t value, uint8_t size)
{
    uint32_t top = size == 0u ? 0u : (uint32_t)1u << (8u * size - 1u);
    if ((value & top) == 0u) {
        return (int32_t)value;
    }
    return -(int32_t)(top - 1u - (value & (top - 1u))) - 1;
}

/* ---- usages ---- */

static void clear_locals(locals *l)
{
    memset(l, 0, sizeof *l);
    l->minimum_size = 0xFFu;
    l->maximum_size = 0xFFu;
}

static uint32_t with_page(uint32_t value, uint8_t size, uint16_t page)
{
    return size > 2u ? value : ((uint32_t)page << 16) | value;
}

/* One local item. MORE: `found` has usages if its first is not above its last. */
static uint8_t take_local(locals *l, const item *i, uint16_t page, run *found)
{
    bool complete = i->tag == ITEM_USAGE;
    found->first = 1u;
    found->last = 0u;
    l->any = true;
    if (i->tag == ITEM_DELIMITER) {
        if (i->value > 1u || (i->value == 1u) == l->in_set) {
            return MM_DESCRIPTOR_MALFORMED;
        }
        l->in_set = i->value == 1u;
        l->taken = false;
        return MORE;
    }
    if (i->tag == ITEM_USAGE) {
        found->first = found->last = with_page(i->value, i->size, page);
        found->is_short = i->size <= 2u;
    } else if (i->tag == ITEM_USAGE_MINIMUM) {
        l->minimum = i->value;
        l->minimum_size = i->size;
    } else {
        l->maximum = i->value;
        l->maximum_size = i->size;
    }
    if (l->minimum_size != 0xFFu && l->maximum_size != 0xFFu) {
        found->first = with_page(l->minimum, l->minimum_size, page);
        found->last = with_page(l->maximum, l->maximum_size, page);
        if (l->minimum_size <= 2u && l->maximum_size > 2u) {
            found->first = (found->last & 0xFFFF0000u) | (found->first & 0xFFFFu);
        } else if (l->maximum_size <= 2u && l->minimum_size > 2u) {
            found->last = (found->first & 0xFFFF0000u) | (found->last & 0xFFFFu);
        }
        found->is_short = l->minimum_size <= 2u && l->maximum_size <= 2u;
        l->minimum_size = 0xFFu;
        l->maximum_size = 0xFFu;
        if (found->first > found->last || found->first >> 16 != found->last >> 16) {
            return MM_DESCRIPTOR_MALFORMED;
        }
        complete = true;
    }
    if (complete && l->in_set) {
        if (l->taken) { /* the first of a set is the preferred one */
            found->first = 1u;
            found->last = 0u;
        }
        l->taken = true;
    }
    return MORE;
}

static bool is_local(uint8_t tag)
{
    return tag == ITEM_USAGE || tag == ITEM_USAGE_MINIMUM || tag == ITEM_USAGE_MAXIMUM || tag == ITEM_DELIMITER;
}

/* ---- steps of the table ---- */

static bool put(reader *r, uint32_t value, uint8_t bytes)
{
    if (r->room - r->used < bytes) {
        return false;
    }
    for (; bytes > 0u; bytes--, value >>= 8) {
        r->table[r->used++] = (uint8_t)value;
    }
    return true;
}

/* The first bytes of a step; its report gets a number in the table. */
static bool begin_step(reader *r, const field *f, uint8_t kind, uint16_t bit)
{
    report *mine = &r->report[f->report];
    if (mine->number == NO_NUMBER) {
        if (r->numbers == MOST_REPORTS || r->numbers == MM_REPORTS) {
            return false;
        }
        mine->number = r->numbers++;
    }
    return put(r, (uint32_t)kind | ((uint32_t)mine->number << 4), 1u) && put(r, bit, 2u);
}

static bool put_bits(reader *r, const field *f, uint32_t usage, uint32_t count, uint16_t size)
{
    uint16_t bit = (uint16_t)(f->bit + f->index * f->size);
    return begin_step(r, f, size == 1u ? BITS : WIDE, bit) && put(r, count - 1u, 1u) && put(r, usage, 1u) &&
           (size == 1u || put(r, size, 2u));
}

static bool put_range(reader *r, field *f, uint32_t usage, uint32_t from, uint32_t count)
{
    uint32_t mask = f->size == 32u ? 0xFFFFFFFFu : ((uint32_t)1u << f->size) - 1u;
    if (f->ranges_at == 0u || r->table[f->ranges_at] == MOST_RANGES) {
        if (!begin_step(r, f, ARRAY, f->bit) || !put(r, f->size, 1u) || !put(r, f->count, 2u) || !put(r, 0u, 1u)) {
            return false;
        }
        f->ranges_at = (uint16_t)(r->used - 1u);
    }
    r->table[f->ranges_at]++;
    return put(r, (f->low + from) & mask, (uint8_t)((f->size + 7u) >> 3)) && put(r, count - 1u, 1u) &&
           put(r, usage, 1u);
}

/* The keys of an array among `count` usages from `usage` on. */
static bool put_values(reader *r, field *f, uint32_t usage, uint32_t count)
{
    uint32_t from = f->index;
    uint32_t to = from + count - 1u;
    uint32_t zero = 0u - f->low; /* the value 0, if the values begin below it */
    if (from < f->from) {
        usage += f->from - from;
        from = f->from;
    }
    if (to > f->to) {
        to = f->to;
    }
    if (from > to || f->from > f->to) {
        return true;
    }
    if (f->low >= 0x80000000u && from < zero && zero <= to) {
        if (!put_range(r, f, usage, from, zero - from)) {
            return false;
        }
        usage += zero - from;
        from = zero;
    }
    return put_range(r, f, usage, from, to - from + 1u);
}

/* The run that was put together is complete. */
static bool end_run(reader *r, field *f)
{
    uint32_t usage = f->first & 0xFFFFu;
    bool ok = true;
    if (f->first >> 16 == KEYBOARD_PAGE && usage < KEYS) {
        uint32_t end = f->last & 0xFFFFu;
        uint32_t count = (end < KEYS ? end : KEYS - 1u) - usage + 1u;
        if (!f->variable) {
            ok = put_values(r, f, usage, count);
        } else if (f->index < f->count) {
            if (count > f->count - f->index) {
                count = f->count - f->index;
            }
            ok = put_bits(r, f, usage, count, f->size);
        }
    }
    f->index += f->last - f->first + 1u;
    return ok;
}

static bool add_run(reader *r, field *f, uint32_t first, uint32_t last)
{
    if (f->any && first == f->last + 1u && (first & 0xFFFFu) != 0u) {
        f->last = last;
        return true;
    }
    if (f->any && !end_run(r, f)) {
        return false;
    }
    f->any = true;
    f->first = first;
    f->last = last;
    return true;
}

/* All runs of a field, and then the values of a bitmap for which the last usage answers. */
static bool end_field(reader *r, field *f)
{
    uint32_t usage = f->last & 0xFFFFu;
    if (!f->any) {
        return true;
    }
    if (!end_run(r, f)) {
        return false;
    }
    if (!f->variable || f->index >= f->count || f->last >> 16 != KEYBOARD_PAGE || usage >= KEYS) {
        return true;
    }
    return put_bits(r, f, usage, 1u, (uint16_t)((f->count - f->index) * f->size));
}

/* The values of an array that its size and its logical range allow, counted from the logical minimum. */
static void limit_values(const globals *now, field *f)
{
    int32_t low = now->low;
    int32_t high = as_signed(now->high, now->high_size);
    f->low = (uint32_t)low;
    f->from = 0u;
    if (low < 0) {
        if (f->size < 32u) {
            int32_t half = (int32_t)1 << (f->size - 1u);
            if (low < -half) {
                f->from = (uint32_t)(-half) - (uint32_t)low;
            }
            if (high > half - 1) {
                high = half - 1;
            }
        }
        f->to = (uint32_t)high - (uint32_t)low;
        if (high < low) {
            f->from = 1u;
            f->to = 0u;
        }
    } else {
        uint32_t most = f->size == 32u ? 0xFFFFFFFFu : ((uint32_t)1u << f->size) - 1u;
        uint32_t top = now->high < most ? now->high : most; /* a negative one is meant without sign */
        f->to = top - (uint32_t)low;
        if (top < (uint32_t)low) {
            f->from = 1u;
            f->to = 0u;
        }
    }
}

/* ---- fields ---- */

/* A short usage before `anchor` keeps its page; later ones take that of the main item, which the anchor has. */
static uint16_t find_anchor(const reader *r, uint16_t end, uint16_t *page)
{
    locals l;
    uint16_t anchor = 0u;
    uint16_t at = r->locals_at;
    item i;
    run found;
    clear_locals(&l);
    *page = r->locals_page;
    while (at < end && read_item(r, at, &i)) {
        if (i.tag == ITEM_USAGE_PAGE) {
            *page = (uint16_t)i.value;
        } else if (is_local(i.tag)) {
            (void)take_local(&l, &i, *page, &found);
            if (found.first <= found.last && found.is_short && found.first >> 16 == r->now.page) {
                anchor = i.next;
            }
        }
        at = i.next;
    }
    return anchor;
}

static bool put_field(reader *r, field *f, uint16_t end)
{
    uint16_t page;
    uint16_t anchor = find_anchor(r, end, &page);
    uint16_t at = r->locals_at;
    locals l;
    item i;
    run found;
    clear_locals(&l);
    page = r->locals_page;
    while (at < end && read_item(r, at, &i)) {
        at = i.next;
        if (i.tag == ITEM_USAGE_PAGE) {
            page = (uint16_t)i.value;
            continue;
        }
        if (!is_local(i.tag)) {
            continue;
        }
        (void)take_local(&l, &i, page, &found);
        if (found.first > found.last) {
            continue;
        }
        if (found.is_short && at > anchor) {
            found.first = ((uint32_t)r->now.page << 16) | (found.first & 0xFFFFu);
            found.last = ((uint32_t)r->now.page << 16) | (found.last & 0xFFFFu);
        }
        if (!add_run(r, f, found.first, found.last)) {
            return false;
        }
    }
    return end_field(r, f);
}

/* The report of the id in force, new or known; NO_NUMBER: no room. */
static uint8_t find_report(reader *r)
{
    uint8_t i;
    for (i = 0u; i < r->reports; i++) {
        if (r->report[i].id == r->now.id) {
            return i;
        }
    }
    if (i == MM_DESCRIPTOR_REPORTS) {
        return NO_NUMBER;
    }
    r->report[i].id = r->now.id;
    r->report[i].bits = r->now.id != 0u ? 8u : 0u;
    r->report[i].number = NO_NUMBER;
    r->reports++;
    return i;
}

/* The first report with an id: those without one cannot be told apart from now on. */
static void begin_numbers(reader *r)
{
    uint8_t i;
    for (i = 0u; i < r->reports; i++) {
        r->report[i].number = NO_NUMBER;
    }
    r->numbered = true;
    r->numbers = 0u;
    r->used = HEADER;
}

static uint8_t take_input(reader *r, uint32_t flags, uint16_t end)
{
    field f;
    uint32_t bits = (uint32_t)r->now.size * r->now.count;
    uint8_t number = find_report(r);
    if (number == NO_NUMBER || bits > (uint32_t)(MOST_BITS - r->report[number].bits)) {
        return MM_DESCRIPTOR_NO_ROOM;
    }
    if (r->now.id != 0u && !r->numbered) {
        begin_numbers(r);
    }
    memset(&f, 0, sizeof f);
    f.bit = r->report[number].bits;
    f.size = r->now.size;
    f.count = r->now.count;
    f.report = number;
    f.variable = (flags & FLAG_VARIABLE) != 0u;
    r->report[number].bits = (uint16_t)(f.bit + bits);
    if ((flags & FLAG_CONSTANT) != 0u || bits == 0u || (r->numbered && r->now.id == 0u)) {
        return MORE;
    }
    if (!f.variable) {
        if (f.size > MOST_VALUE_BITS) {
            return MORE;
        }
        limit_values(&r->now, &f);
    }
    return put_field(r, &f, end) ? MORE : (uint8_t)MM_DESCRIPTOR_NO_ROOM;
}

/* ---- the items one by one ---- */

static uint16_t at_most_word(uint32_t value)
{
    return value > 0xFFFFu ? 0xFFFFu : (uint16_t)value;
}

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
        r->now.low = as_signed(i->value, i->size);
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

static uint8_t take_main(reader *r, const item *i, uint16_t at)
{
    uint8_t result = MORE;
    if (r->local.in_set && (i->tag != ITEM_END_COLLECTION || r->collections > 0u)) {
        return MM_DESCRIPTOR_MALFORMED;
    }
    if (i->tag == ITEM_COLLECTION) {
        r->collections++;
    } else if (i->tag == ITEM_END_COLLECTION) {
        if (r->collections == 0u) {
            return MM_DESCRIPTOR_MALFORMED;
        }
        r->collections--;
    } else if (i->tag == ITEM_INPUT) {
        result = take_input(r, i->value, at);
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

/* Header and reports around the steps. */
static bool end_table(reader *r)
{
    uint16_t steps = (uint16_t)(r->used - HEADER);
    uint8_t number, i;
    r->table[0] = MM_REPORT_TABLE_VERSION;
    r->table[1] = r->numbered ? 1u : 0u;
    r->table[2] = r->numbers;
    r->table[3] = (uint8_t)steps;
    r->table[4] = (uint8_t)(steps >> 8);
    for (number = 0u; number < r->numbers; number++) {
        for (i = 0u; r->report[i].number != number; i++) {
        }
        if (!put(r, r->report[i].id, 1u) || !put(r, ((uint32_t)r->report[i].bits + 7u) >> 3, 2u)) {
            return false;
        }
    }
    return true;
}

mm_descriptor_result mm_read_descriptor(const uint8_t *descriptor, uint16_t length, uint8_t *table, uint16_t room,
                                        uint16_t *size)
{
    reader r;
    run found;
    item i;
    uint16_t at = 0u;
    *size = 0u;
    if (descriptor == NULL || length == 0u) {
        return MM_DESCRIPTOR_MALFORMED;
    }
    if (table == NULL || room < HEADER) {
        return MM_DESCRIPTOR_NO_ROOM;
    }
    memset(&r, 0, sizeof r);
    r.data = descriptor;
    r.length = length;
    r.table = table;
    r.room = room;
    r.used = HEADER;
    clear_locals(&r.local);
    while (at < length) {
        uint8_t result;
        *size = at;
        if (!read_item(&r, at, &i)) {
            return MM_DESCRIPTOR_MALFORMED;
        }
        if (is_main(i.tag)) {
            result = take_main(&r, &i, at);
        } else if (is_local(i.tag)) {
            result = take_local(&r.local, &i, r.now.page, &found);
        } else {
            result = take_global(&r, &i);
        }
        if (result != MORE) {
            return (mm_descriptor_result)result;
        }
        at = i.next;
    }
    *size = length;
    if (r.collections != 0u) {
        return MM_DESCRIPTOR_MALFORMED;
    }
    if (r.numbers == 0u) {
        return MM_DESCRIPTOR_NO_KEYS;
    }
    if (!end_table(&r)) {
        return MM_DESCRIPTOR_NO_ROOM;
    }
    *size = r.used;
    return MM_DESCRIPTOR_READ;
}
