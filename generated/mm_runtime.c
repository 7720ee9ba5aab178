/* SPDX-License-Identifier: MIT */
#include "mm_runtime.h"

#include <stddef.h>
#include <string.h>

/* Offsets of the table's header. */
#define AT_VERSION 0u
#define AT_SELECT 1u
#define AT_SENSE 2u
#define AT_DIRECT 3u
#define AT_MODIFIERS 4u
#define AT_DEMANDS 5u
#define AT_CAPS 6u
#define AT_CHORDS 7u
#define AT_GROUPS 8u
#define AT_FLAGS 9u
#define AT_ROLLOVER 10u
#define AT_CLOSE 11u
#define AT_OPEN 13u
#define AT_LEAD 15u
#define HEADER 17u

#define FLAG_ALT_GR 0x01u
#define FLAG_GUARD 0x02u
#define FLAG_NO_PHANTOM 0x0Cu /* switch-with-diode or follows-select */
#define FLAG_CAPS_LOCK 0x10u
#define FLAG_NUM_LOCK 0x20u

enum { CROSSPOINT, DIRECT, CHORD, MODIFIER, LATCH, COMMAND, NOTHING };

#define CHORD_CONTACTS 4u
#define UNUSED 0xFFu
#define DIRECT_LINES MM_SELECT_MAX /* index of their mask behind those of the select lines */

/* mm_press.how and mm_stroke.what share these. */
#define RELEASED 0x20u
#define KEYBOARD_SHIFT 6
#define KIND 0x03u
#define OPEN_AGAIN 0x04u

enum { RESTING, LEADING, CLOSING };

#define NO_CHANGE 0xFFu
#define HALF_RANGE 0x8000u
#define LONGEST_SLEEP 0x4000u /* a caller that is late stays below half the range */

#define USAGE_CAPS_LOCK 0x39u
#define USAGE_NUM_LOCK 0x53u
#define KEYPAD_FIRST 0x59u
#define KEYPAD_LAST 0x63u
#define USAGES 0xE8u
#define MODIFIER_BYTE 28u /* usages 0xE0 to 0xE7, in the bit order of the boot report's first byte */
#define ROLL_OVER 0x0Eu   /* usages 0x01 to 0x03 */

/* ---- the table ---- */

static uint8_t byte_at(const uint8_t *table, uint8_t offset)
{
    return MM_READ(table + offset);
}

static uint16_t time_at(const uint8_t *table, uint8_t offset)
{
    return (uint16_t)(byte_at(table, offset) | ((uint16_t)byte_at(table, (uint8_t)(offset + 1u)) << 8));
}

static const uint8_t *demands(const uint8_t *table)
{
    return table + HEADER + 2u * byte_at(table, AT_MODIFIERS);
}

static const uint8_t *caps_ranges(const uint8_t *table)
{
    return demands(table) + 2u * byte_at(table, AT_DEMANDS);
}

static const uint8_t *chords(const uint8_t *table)
{
    return caps_ranges(table) + 3u * byte_at(table, AT_CAPS);
}

static const uint8_t *groups(const uint8_t *table)
{
    return chords(table) + 8u * byte_at(table, AT_CHORDS);
}

static bool contact_is_sound(const uint8_t *table, uint8_t kind, uint8_t value)
{
    if (kind == DIRECT) {
        return value < byte_at(table, AT_DIRECT);
    }
    return kind == CROSSPOINT && (value >> 4) < byte_at(table, AT_SELECT) && (value & 15u) < byte_at(table, AT_SENSE);
}

/* Modifier keys and chords; {0xFF, any} stands for no contact. */
static bool pairs_are_sound(const uint8_t *table, const uint8_t *pair, uint16_t count)
{
    for (; count > 0u; count--, pair += 2) {
        uint8_t kind = MM_READ(pair);
        if (kind != UNUSED && !contact_is_sound(table, kind, MM_READ(pair + 1))) {
            return false;
        }
    }
    return true;
}

static bool groups_are_sound(const uint8_t *table, uint16_t left, uint8_t *kept)
{
    const uint8_t *group = groups(table);
    uint8_t number;
    for (number = byte_at(table, AT_GROUPS); number > 0u; number--) {
        uint8_t kind, count;
        uint16_t length;
        if (left < 4u) {
            return false;
        }
        kind = MM_READ(group + 2);
        count = MM_READ(group + 3);
        length = (uint16_t)(4u + 2u * count);
        if (left < length || kind > NOTHING || MM_READ(group + 1) >= byte_at(table, AT_DEMANDS)) {
            return false;
        }
        left = (uint16_t)(left - length);
        for (group += 4; count > 0u; count--, group += 2) {
            uint8_t usage = MM_READ(group);
            uint8_t value = MM_READ(group + 1);
            if (usage == USAGE_CAPS_LOCK) {
                *kept &= (uint8_t)~MM_LED_CAPS_LOCK;
            } else if (usage == USAGE_NUM_LOCK) {
                *kept &= (uint8_t)~MM_LED_NUM_LOCK;
            }
            if (kind == CHORD ? value >= byte_at(table, AT_CHORDS)
                              : kind < CHORD && !contact_is_sound(table, kind, value)) {
                return false;
            }
        }
    }
    return left == 0u;
}

/* Whole table checked once, so that no later read needs a bound. */
static bool table_is_sound(const uint8_t *table, uint16_t size, uint8_t *kept)
{
    uint16_t fixed;
    uint8_t flags;
    if (table == NULL || size < HEADER || byte_at(table, AT_VERSION) != MM_TABLE_VERSION ||
        (uint8_t)(byte_at(table, AT_SELECT) - 1u) >= MM_SELECT_MAX ||
        (uint8_t)(byte_at(table, AT_SENSE) - 1u) >= MM_SENSE_MAX || byte_at(table, AT_DIRECT) > 8u ||
        byte_at(table, AT_MODIFIERS) > 8u || byte_at(table, AT_DEMANDS) == 0u) {
        return false;
    }
    fixed = (uint16_t)(groups(table) - table);
    if (size < fixed || !pairs_are_sound(table, table + HEADER, byte_at(table, AT_MODIFIERS)) ||
        !pairs_are_sound(table, chords(table), (uint16_t)(CHORD_CONTACTS * byte_at(table, AT_CHORDS)))) {
        return false;
    }
    flags = byte_at(table, AT_FLAGS);
    *kept = (uint8_t)(((flags & FLAG_CAPS_LOCK) != 0u ? MM_LED_CAPS_LOCK : 0u) |
                      ((flags & FLAG_NUM_LOCK) != 0u ? MM_LED_NUM_LOCK : 0u));
    return groups_are_sound(table, (uint16_t)(size - fixed), kept);
}

/* ---- input: what the keyboards say ---- */

static uint8_t bit(uint8_t number)
{
    return (uint8_t)(1u << (number & 7u));
}

static bool is_down(const uint8_t *set, uint8_t usage)
{
    return usage < USAGES && (set[usage >> 3] & bit(usage)) != 0u;
}

/* The machine modifiers that all keyboards together hold; their usages are struck from `fresh` (or null), they are
 * no strokes. */
static void follow_modifiers(mm_state *state, uint8_t *fresh)
{
    const uint8_t *group = groups(state->input);
    uint8_t number;
    state->live = 0u;
    for (number = byte_at(state->input, AT_GROUPS); number > 0u; number--) {
        bool modifier = MM_READ(group + 2) == MODIFIER;
        uint8_t count = MM_READ(group + 3);
        group += 4;
        if (!modifier) {
            group += 2u * count;
            continue;
        }
        for (; count > 0u; count--, group += 2) {
            uint8_t usage = MM_READ(group);
            uint8_t keyboard;
            for (keyboard = 0u; keyboard < MM_KEYBOARDS; keyboard++) {
                if (is_down(state->down[keyboard], usage)) {
                    state->live |= MM_READ(group + 1);
                }
            }
            if (fresh != NULL && usage < USAGES) {
                fresh[usage >> 3] &= (uint8_t)~bit(usage);
            }
        }
    }
}

/* Presses of this keyboard, waiting or closed, whose key is up. */
static void follow_releases(mm_state *state, uint8_t keyboard)
{
    const uint8_t *down = state->down[keyboard];
    uint8_t i;
    for (i = 0u; i < state->waiting; i++) {
        mm_press *press = &state->line[i];
        if (press->how >> KEYBOARD_SHIFT == keyboard && !is_down(down, press->usage)) {
            press->how |= RELEASED;
        }
    }
    for (i = 0u; i < state->strokes; i++) {
        mm_stroke *stroke = &state->held[i];
        if ((stroke->what & OPEN_AGAIN) == 0u && stroke->what >> KEYBOARD_SHIFT == keyboard &&
            !is_down(down, stroke->is.closed.usage)) {
            stroke->what |= RELEASED;
        }
    }
}

static uint8_t caps_pairs(const uint8_t *table, uint8_t usage)
{
    const uint8_t *range = caps_ranges(table);
    uint8_t count;
    for (count = byte_at(table, AT_CAPS); count > 0u; count--, range += 3) {
        if (usage >= MM_READ(range) && usage <= MM_READ(range + 1)) {
            return MM_READ(range + 2);
        }
    }
    return 0u;
}

/* Bits 0-1 level - 1, bits 2-4 Control, Alt, Meta: as mm_press.how has them. */
static uint8_t level_and_held(const mm_state *state, uint8_t usage, uint8_t modifiers)
{
    bool has_alt_gr = (byte_at(state->input, AT_FLAGS) & FLAG_ALT_GR) != 0u;
    uint8_t locks = mm_leds(state);
    uint8_t how = (modifiers & 0x22u) != 0u ? 1u : 0u;
    if (has_alt_gr && (modifiers & 0x40u) != 0u) {
        how |= 2u;
    }
    if (usage >= KEYPAD_FIRST && usage <= KEYPAD_LAST) {
        how = (uint8_t)((locks & MM_LED_NUM_LOCK) == 0u);
    } else if ((locks & MM_LED_CAPS_LOCK) != 0u && (modifiers & 0x11u) == 0u) {
        uint8_t pairs = caps_pairs(state->input, usage);
        if ((pairs & ((how & 2u) != 0u ? 2u : 1u)) != 0u) {
            how ^= 1u;
        }
    }
    if ((modifiers & 0x11u) != 0u) {
        how |= 0x04u;
    }
    if ((modifiers & (has_alt_gr ? 0x04u : 0x44u)) != 0u) {
        how |= 0x08u;
    }
    if ((modifiers & 0x88u) != 0u) {
        how |= 0x10u;
    }
    return how;
}

static bool press_key(mm_state *state, uint8_t keyboard, uint8_t usage)
{
    mm_press *press;
    uint8_t lock = usage == USAGE_CAPS_LOCK ? MM_LED_CAPS_LOCK : usage == USAGE_NUM_LOCK ? MM_LED_NUM_LOCK : 0u;
    if ((lock & state->kept) != 0u) {
        state->locks ^= lock;
        return true;
    }
    if (state->waiting == MM_WAITING) {
        if (state->overflows < 0xFFFFu) {
            state->overflows++;
        }
        return false;
    }
    press = &state->line[state->waiting++];
    press->usage = usage;
    press->how = (uint8_t)(level_and_held(state, usage, state->down[keyboard][MODIFIER_BYTE]) |
                           (uint8_t)(keyboard << KEYBOARD_SHIFT));
    press->modifiers = state->live;
    return true;
}

/* Releases first, then modifiers, then presses by ascending usage. A null set is an empty one. */
static mm_result take_set(mm_state *state, uint8_t keyboard, const uint8_t *set)
{
    uint8_t fresh[MM_USAGE_BYTES];
    uint8_t *down;
    mm_result result = MM_TAKEN;
    uint8_t i, changed = 0u;
    if (state->table == NULL || keyboard >= MM_KEYBOARDS) {
        return MM_MALFORMED;
    }
    down = state->down[keyboard];
    if (set != NULL && (set[0] & ROLL_OVER) != 0u) {
        result = MM_ROLLED;
    }
    for (i = 0u; i < MM_USAGE_BYTES; i++) {
        uint8_t before = down[i];
        uint8_t after = before;
        if (result == MM_TAKEN || i == MODIFIER_BYTE) {
            after = set == NULL ? 0u : set[i];
        }
        if (i == 0u) {
            after &= (uint8_t)~(ROLL_OVER | 1u);
        }
        down[i] = after;
        fresh[i] = (uint8_t)(after & ~before);
        changed |= (uint8_t)(after ^ before);
    }
    if (changed == 0u) {
        return result;
    }
    follow_releases(state, keyboard);
    follow_modifiers(state, fresh);
    for (i = 0u; i < MM_USAGE_BYTES; i++) {
        uint8_t bits = fresh[i];
        uint8_t usage;
        for (usage = (uint8_t)(8u * i); bits != 0u; bits >>= 1, usage++) {
            if ((bits & 1u) != 0u && !press_key(state, keyboard, usage)) {
                result = MM_DROPPED;
            }
        }
    }
    return result;
}

mm_result mm_usages(mm_state *state, uint8_t keyboard, const uint8_t down[32])
{
    return down == NULL ? MM_MALFORMED : take_set(state, keyboard, down);
}

mm_result mm_boot_report(mm_state *state, uint8_t keyboard, const uint8_t *report, uint8_t length)
{
    uint8_t set[MM_USAGE_BYTES];
    uint8_t i;
    if (report == NULL || length < 8u) {
        return MM_MALFORMED;
    }
    memset(set, 0, sizeof set);
    set[MODIFIER_BYTE] = report[0];
    for (i = 2u; i < 8u; i++) {
        uint8_t usage = report[i];
        if (usage < USAGES) {
            set[usage >> 3] |= bit(usage);
        }
    }
    return take_set(state, keyboard, set);
}

void mm_disconnected(mm_state *state, uint8_t keyboard)
{
    (void)take_set(state, keyboard, NULL);
}

/* ---- output: what the machine is shown ---- */

/* A set of closed contacts while it is put together. */
typedef struct board {
    mm_mask lines[MM_SELECT_MAX + 1]; /* as mm_state.closed */
    const uint8_t *table;
    uint8_t keys;     /* crosspoints closed by strokes */
    uint8_t rollover; /* the most of them; 0: no limit */
    bool guard;
    bool phantom; /* the modifiers make one by themselves */
    bool any;     /* a stroke is on it */
} board;

#define NO_CONTACT 0xFFFFu

/* Contact `number` of a stroke: index of its mask << 8 | bit number. */
static uint16_t contact_of(const uint8_t *table, uint8_t kind, uint8_t value, uint8_t number)
{
    if (kind == CHORD) {
        const uint8_t *pair = chords(table) + 8u * value + 2u * number;
        kind = MM_READ(pair);
        value = MM_READ(pair + 1);
    } else if (number > 0u) {
        return NO_CONTACT;
    }
    if (kind == CROSSPOINT) {
        return (uint16_t)(((value & 0xF0u) << 4) | (value & 15u));
    }
    return kind == DIRECT ? (uint16_t)((DIRECT_LINES << 8) | value) : NO_CONTACT;
}

static mm_mask bit_of(uint16_t contact)
{
    return (mm_mask)(1u << (contact & 15u));
}

/* Without diodes each connected part of the lines reads as a full block: no phantom if and only if any two select
 * lines that share a sense line share them all. */
static bool line_makes_phantom(const board *b, uint8_t line)
{
    mm_mask mine = b->lines[line];
    uint8_t other;
    if (line == DIRECT_LINES) {
        return false;
    }
    for (other = 0u; other < MM_SELECT_MAX; other++) {
        if ((b->lines[other] & mine) != 0u && b->lines[other] != mine) {
            return true;
        }
    }
    return false;
}

static void add(board *b, uint8_t kind, uint8_t value)
{
    uint8_t i;
    for (i = 0u; i < CHORD_CONTACTS; i++) {
        uint16_t contact = contact_of(b->table, kind, value, i);
        if (contact == NO_CONTACT) {
            break;
        }
        b->lines[contact >> 8] |= bit_of(contact);
        if (contact >> 8 != DIRECT_LINES) {
            b->keys++;
        }
    }
}

static void clear(board *b, const uint8_t *table)
{
    uint8_t flags = byte_at(table, AT_FLAGS);
    memset(b->lines, 0, sizeof b->lines);
    b->table = table;
    b->keys = 0u;
    b->rollover = byte_at(table, AT_ROLLOVER);
    b->guard = (flags & FLAG_GUARD) != 0u && (flags & FLAG_NO_PHANTOM) == 0u;
    b->phantom = false;
    b->any = false;
}

static void begin(board *b, const uint8_t *table, uint8_t modifiers)
{
    const uint8_t *pair = table + HEADER;
    uint8_t i;
    clear(b, table);
    for (i = 0u; i < byte_at(table, AT_MODIFIERS); i++, pair += 2) {
        if ((modifiers & bit(i)) != 0u) {
            add(b, MM_READ(pair), MM_READ(pair + 1));
        }
    }
    b->keys = 0u;
    for (i = 0u; b->guard && i < MM_SELECT_MAX; i++) {
        if (line_makes_phantom(b, i)) {
            b->phantom = true;
        }
    }
}

/* Adds the stroke if it breaks no rule with what is there. */
static bool fits(board *b, const mm_stroke *stroke)
{
    uint8_t kind = stroke->what & KIND;
    uint8_t keys = b->keys;
    uint8_t i;
    bool ok = true;
    for (i = 0u; i < CHORD_CONTACTS; i++) {
        uint16_t contact = contact_of(b->table, kind, stroke->value, i);
        if (contact == NO_CONTACT) {
            break;
        }
        if ((b->lines[contact >> 8] & bit_of(contact)) != 0u) {
            return false;
        }
    }
    add(b, kind, stroke->value);
    if (b->phantom || (b->any && b->rollover != 0u && b->keys > b->rollover)) {
        ok = false;
    }
    for (i = 0u; ok && b->guard && i < CHORD_CONTACTS; i++) {
        uint16_t contact = contact_of(b->table, kind, stroke->value, i);
        if (contact == NO_CONTACT) {
            break;
        }
        ok = !line_makes_phantom(b, (uint8_t)(contact >> 8));
    }
    if (!ok) {
        for (i = 0u; i < CHORD_CONTACTS; i++) {
            uint16_t contact = contact_of(b->table, kind, stroke->value, i);
            if (contact == NO_CONTACT) {
                break;
            }
            b->lines[contact >> 8] &= (mm_mask)~bit_of(contact);
        }
        b->keys = keys;
        return false;
    }
    b->any = true;
    return true;
}

static uint8_t asked(const mm_state *state, uint8_t demand, uint8_t typist)
{
    const uint8_t *pair = demands(state->table) + 2u * demand;
    return (uint8_t)(((typist | state->latches) & (uint8_t)~MM_READ(pair)) | MM_READ(pair + 1));
}

static void open_stroke(mm_state *state, mm_stroke *stroke)
{
    stroke->what |= OPEN_AGAIN;
    stroke->is.open = time_at(state->table, AT_OPEN);
    state->settle_left = time_at(state->table, AT_LEAD);
}

static bool is_presented(const mm_state *state, uint8_t i)
{
    return state->phase != RESTING && i + 1u == state->strokes;
}

/* What stays closed once the modifiers are as the newest stroke asks; opens the others. */
static void sort_out(mm_state *state)
{
    board b;
    uint8_t i;
    bool newest = true;
    state->wanted = state->typist | state->latches;
    for (i = state->strokes; i-- > 0u;) {
        mm_stroke *stroke = &state->held[i];
        uint8_t modifiers;
        if ((stroke->what & OPEN_AGAIN) != 0u) {
            continue;
        }
        modifiers = asked(state, stroke->is.closed.demand, state->typist);
        if (newest) {
            begin(&b, state->table, modifiers);
        }
        if ((newest || modifiers == state->wanted) && fits(&b, stroke)) {
            if (newest) {
                state->wanted = modifiers;
            }
            newest = false;
        } else {
            open_stroke(state, stroke);
        }
    }
}

/* Closes what is to be closed now, and opens what would make a phantom with modifiers that still lag. */
static void present(mm_state *state)
{
    board b;
    uint8_t i;
    begin(&b, state->table, state->modifiers);
    for (i = state->strokes; i-- > 0u;) {
        mm_stroke *stroke = &state->held[i];
        if ((stroke->what & OPEN_AGAIN) != 0u || (state->phase == LEADING && i + 1u == state->strokes)) {
            continue;
        }
        if (!fits(&b, stroke)) {
            open_stroke(state, stroke);
        }
    }
    memcpy(state->closed, b.lines, sizeof b.lines);
}

/* The machine may still hold contacts down that are open: the same contact, and the rollover, must wait for them. */
static bool is_blocked(const mm_state *state)
{
    board b;
    uint8_t i;
    clear(&b, state->table);
    b.guard = false;
    for (i = 0u; i + 1u < state->strokes; i++) {
        const mm_stroke *stroke = &state->held[i];
        add(&b, stroke->what & KIND, stroke->value);
        if ((stroke->what & OPEN_AGAIN) != 0u) {
            b.any = true;
        }
    }
    return b.any && !fits(&b, &state->held[i]);
}

/* The entry for a press in the layout: Control, Alt and Meta exactly as held, else an entry without them. */
static uint8_t look_up(const uint8_t *table, const mm_press *press, mm_stroke *stroke)
{
    const uint8_t *group = groups(table);
    uint8_t held = (press->how >> 2) & 7u;
    uint8_t level = (uint8_t)(1u << (press->how & 3u));
    uint8_t kind = NOTHING;
    bool found = false;
    uint8_t number;
    for (number = byte_at(table, AT_GROUPS); number > 0u; number--) {
        uint8_t when = MM_READ(group);
        uint8_t count = MM_READ(group + 3);
        const uint8_t *entry = group + 4;
        const uint8_t *end = entry + 2u * count;
        uint8_t extras = (when >> 4) & 7u;
        if ((when & level) != 0u && (extras == held || (extras == 0u && !found))) {
            for (; entry != end && MM_READ(entry) < press->usage; entry += 2) {
            }
            if (entry != end && MM_READ(entry) == press->usage) {
                kind = MM_READ(group + 2);
                stroke->is.closed.demand = MM_READ(group + 1);
                stroke->value = MM_READ(entry + 1);
                if (extras == held) {
                    return kind;
                }
                found = true;
            }
        }
        group = end;
    }
    return kind;
}

static void take_press(mm_state *state)
{
    mm_press press;
    mm_stroke *stroke = &state->held[state->strokes];
    uint8_t kind;
    board b;
    press = state->line[0];
    state->waiting--;
    if (state->ahead != NO_CHANGE) {
        state->ahead--;
    }
    memmove(state->line, state->line + 1, state->waiting * sizeof state->line[0]);
    kind = look_up(state->table, &press, stroke);
    if (kind == LATCH) {
        state->latches ^= stroke->value;
    } else if (kind == COMMAND) {
        state->command = stroke->value;
        state->command_due = 1u;
    } else if (kind < MODIFIER) {
        stroke->what = (uint8_t)(kind | (press.how & (uint8_t)(RELEASED | (3u << KEYBOARD_SHIFT))));
        stroke->is.closed.usage = press.usage;
        begin(&b, state->table, asked(state, stroke->is.closed.demand, press.modifiers));
        if (!fits(&b, stroke)) {
            if (state->refusals < 0xFFFFu) {
                state->refusals++;
            }
            return;
        }
        state->strokes++;
        state->typist = press.modifiers;
        state->phase = LEADING;
    }
}

static uint16_t less(uint16_t left, uint16_t step)
{
    return left > step ? (uint16_t)(left - step) : 0u;
}

static void pass_time(mm_state *state, uint16_t now)
{
    uint16_t step = (uint16_t)(now - state->now);
    uint8_t i, kept = 0u;
    if (step >= HALF_RANGE) {
        step = 0u;
    }
    state->now = now;
    state->close_left = less(state->close_left, step);
    state->settle_left = less(state->settle_left, step);
    for (i = 0u; i < state->strokes; i++) {
        mm_stroke *stroke = &state->held[i];
        if ((stroke->what & OPEN_AGAIN) != 0u) {
            stroke->is.open = less(stroke->is.open, step);
            if (stroke->is.open == 0u) {
                continue;
            }
        }
        state->held[kept++] = *stroke;
    }
    state->strokes = kept;
    if (state->phase == CLOSING && state->close_left == 0u) {
        state->phase = RESTING;
    }
}

/* Opens what its key has left, what a layout change ends, and the oldest where a press needs its place. */
static void open_released(mm_state *state, bool all)
{
    bool crowded = state->waiting != 0u && state->phase == RESTING && state->strokes == MM_HELD;
    uint8_t i;
    for (i = 0u; i < state->strokes; i++) {
        if ((state->held[i].what & OPEN_AGAIN) != 0u) {
            crowded = false;
        }
    }
    for (i = 0u; i < state->strokes; i++) {
        mm_stroke *stroke = &state->held[i];
        if ((stroke->what & OPEN_AGAIN) == 0u && !is_presented(state, i) &&
            (all || crowded || (stroke->what & RELEASED) != 0u)) {
            open_stroke(state, stroke);
            crowded = false;
        }
    }
}

static uint16_t next_change(const mm_state *state)
{
    uint16_t next = MM_NEVER;
    uint8_t i;
    if (state->phase == CLOSING) {
        next = state->close_left;
    } else if ((state->phase == LEADING || state->modifiers != state->wanted || state->ahead == 0u) &&
               state->settle_left != 0u) {
        next = state->settle_left;
    }
    for (i = 0u; i < state->strokes; i++) {
        const mm_stroke *stroke = &state->held[i];
        if ((stroke->what & OPEN_AGAIN) != 0u && stroke->is.open < next) {
            next = stroke->is.open;
        }
    }
    return next != MM_NEVER && next > LONGEST_SLEEP ? LONGEST_SLEEP : next;
}

uint16_t mm_advance(mm_state *state, uint16_t now)
{
    bool changing;
    if (state->table == NULL) {
        return MM_NEVER;
    }
    pass_time(state, now);
    if (state->phase == RESTING && state->waiting != 0u && state->ahead != 0u && state->strokes < MM_HELD) {
        take_press(state);
        return 0u;
    }
    changing = state->phase == RESTING && state->ahead == 0u;
    if (changing) {
        state->typist = 0u;
        state->latches = 0u;
    } else if (state->phase == RESTING && state->waiting == 0u) {
        state->typist = state->live;
    }
    open_released(state, changing);
    sort_out(state);
    if (state->settle_left == 0u && state->modifiers != state->wanted) {
        state->modifiers = state->wanted;
        state->settle_left = time_at(state->table, AT_LEAD);
    }
    if (state->phase == LEADING && state->settle_left == 0u && state->modifiers == state->wanted && !is_blocked(state)) {
        state->phase = CLOSING;
        state->close_left = time_at(state->table, AT_CLOSE);
    }
    present(state);
    if (changing && state->strokes == 0u && state->modifiers == 0u && state->settle_left == 0u) {
        state->table = state->input;
        state->ahead = NO_CHANGE;
        return 0u;
    }
    return next_change(state);
}

/* ---- the caller's side ---- */

bool mm_init(mm_state *state, const uint8_t *table, uint16_t size)
{
    memset(state, 0, sizeof *state);
    state->ahead = NO_CHANGE;
    state->locks = MM_LED_NUM_LOCK;
    if (!table_is_sound(table, size, &state->kept)) {
        return false;
    }
    state->table = table;
    state->input = table;
    return true;
}

bool mm_change_layout(mm_state *state, const uint8_t *table, uint16_t size)
{
    uint8_t kept;
    if (state->table == NULL || !table_is_sound(table, size, &kept)) {
        return false;
    }
    if (state->ahead != NO_CHANGE) {
        while (state->waiting > state->ahead) {
            state->waiting--;
            if (state->overflows < 0xFFFFu) {
                state->overflows++;
            }
        }
    }
    state->ahead = state->waiting;
    state->input = table;
    state->kept = kept;
    follow_modifiers(state, NULL);
    return true;
}

uint16_t mm_select_mask(const mm_state *state, uint8_t select)
{
    return select < MM_SELECT_MAX ? state->closed[select] : 0u;
}

uint8_t mm_direct_mask(const mm_state *state)
{
    return (uint8_t)state->closed[DIRECT_LINES];
}

uint8_t mm_leds(const mm_state *state)
{
    return (uint8_t)((state->locks & state->kept) | (MM_LED_NUM_LOCK & (uint8_t)~state->kept));
}

bool mm_take_command(mm_state *state, uint8_t *command)
{
    if (state->command_due == 0u) {
        return false;
    }
    state->command_due = 0u;
    *command = state->command;
    return true;
}

uint16_t mm_overflows(const mm_state *state)
{
    return state->overflows;
}

uint16_t mm_refusals(const mm_state *state)
{
    return state->refusals;
}

bool mm_idle(const mm_state *state)
{
    return state->waiting == 0u && state->strokes == 0u && state->ahead == NO_CHANGE && state->live == 0u &&
           state->modifiers == state->latches;
}
