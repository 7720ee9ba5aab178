/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#include "mm_runtime.h"

#include <stddef.h>
#include <string.h>

/* Offsets in the table; times have two bytes, the low one first. */
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
#define FLAG_APART 0x04u
#define FLAG_RESUME 0x08u
#define FLAG_CAPS_LOCK 0x10u
#define FLAG_NUM_LOCK 0x20u
#define NUM_LOCK_SHIFT 5
#define SHIFT_TO_NUM_LOCK 4 /* from HOW_SHIFT */
#define FLAG_SEQUENCES 0x40u
#define FLAG_WHOLE 0x80u
#define FOREIGN \
    ((MM_SEQUENCES ? 0u : FLAG_SEQUENCES) | (MM_RESUME ? 0u : FLAG_RESUME) | (MM_WHOLE ? 0u : FLAG_WHOLE)) /* for runtimes with more */
#define CHECKSUM 2u /* bytes at the end */

/* The section of the controllers: how many, the poll time, and for each a record: two pairs of opposite switches, and three
 * bytes a switch. */
#define AT_POLL 1u
#define FIRST_CONTROLLER 3u
#define PAIRS 2u
#define SWITCHES 8u
#define CONTROLLER_BYTES (PAIRS + 3u * SWITCHES)
#define PULLS 0x10u /* in the kind of a switch: it pulls its sense line low, and joins nothing */

enum { CROSSPOINT, DIRECT, CHORD, MODIFIER, LATCH, COMMAND, NOTHING, DEAD_KEY };

/* The byte of a group's kind has the kind in its low bits, above them what its entries do while a dead key is pending. */
#define KIND_BITS 0x07u
#define AFTER_SHIFT 3
#define DEAD_KEYS 28u /* their numbers are 1 to 28 */

/* Of the value of a dead key, and of mm_state.accent: the low bits are the number of a sequence, which has begun. */
#define SEQUENCE MM_SEQUENCE
#define OF_ACCENT 0x40u /* only of mm_state.accent: it is the accent by itself, and not the press, that goes on */
#define NUMBER 0x1Fu
#define ALONE 0u /* the usage of an accent by itself, and of the first stroke of a sequence */
#define GOES_ON 1u /* of the further strokes of a sequence that is an accent by itself */
#define NO_USAGE 0xFFu

#define CHORD_CONTACTS 4u
#define DIRECT_LINES MM_SELECT_MAX /* where their mask stands, behind those of the select lines */
#define PULLED (MM_SELECT_MAX + 1u) /* where those of the pulled lines begin, in the same order; the last one is of what is pulled always */
#define JOINED (2u * PULLED) /* where those begin of what pads close, from which all that is shown begins */

/* mm_slot.what of a press: the modifier byte of the boot report with right folded onto left, then the bits that strokes have too. */
#define HOW_CONTROL 0x01u
#define HOW_SHIFT 0x02u
#define HOW_HELD 0x0Du /* Control, Alt, Meta; in `when` they stand above the levels */
#define WHEN_SHIFT 4
#define WHEN_HELD 0xD0u
#define HOW_ALT_GR 0x10u
#define RELEASED 0x20u
#define KEYBOARD_SHIFT 6
#define OF_KEYBOARD 0xC0u
/* Of a stroke. */
#define KIND 0x03u
#define OPENED 0x04u
#define ASIDE 0x08u /* opened for a newer one */
#define BLOCKED 0x80u /* mm_state.recent */

/* Inlined, these make their callers larger than a call does. */
#if defined(__GNUC__)
#define APART __attribute__((noinline))
#else
#define APART
#endif

/* Inlined, this makes its caller larger on all but an AVR. */
#if defined(__AVR__)
#define APART_BUT_ON_AVR
#else
#define APART_BUT_ON_AVR APART
#endif

#define NO_CHANGE ((mm_count)~0u)
#define HALF_RANGE 0x8000u

#define USAGE_CAPS_LOCK 0x39u
#define USAGE_NUM_LOCK 0x53u
#define KEYPAD_FIRST 0x59u
#define KEYPAD_LAST 0x63u
#define MODIFIER_BYTE 28u /* usages 0xE0 to 0xE7, in the bit order of the boot report's first byte */
#define FIRST_KEY 0x04u
#define FIRST_MODIFIER 0xE0u
#define USAGES (8u * MM_SET_BYTES)
#define ROLL_OVER 0x0Eu   /* usages 0x01 to 0x03 */
#define RIGHT_ALT 0x40u

#if MM_RESUME
#define OPEN_LEFT open_left
#else
#define OPEN_LEFT is.open_left
#endif

/* ---- the table ---- */

static uint8_t byte_at(const uint8_t *table, uint8_t offset)
{
    return MM_READ(table + offset);
}

/* Times have 14 bits; one of no ticks counts as one, so that every change can be seen. */
static APART uint16_t time_at(const uint8_t *table, uint8_t offset)
{
    uint16_t ticks = (uint16_t)(byte_at(table, offset) | (byte_at(table, (uint8_t)(offset + 1u)) & 0x3Fu) << 8);
    if (ticks == 0u) {
        ticks = 1u;
    }
    return ticks;
}

/* The sections after the modifier keys. */
enum { DEMANDS, CAPS_RANGES, CHORDS, GROUPS };

/* Where a section begins, by the counts of the header alone. */
static unsigned offset_of(const uint8_t *table, uint8_t which)
{
    unsigned at = HEADER + 2u * byte_at(table, AT_MODIFIERS);
    if (which > DEMANDS) {
        at += 2u * byte_at(table, AT_DEMANDS);
        if (which > CAPS_RANGES) {
            at += 3u * byte_at(table, AT_CAPS);
            if (which > CHORDS) {
                at += 8u * byte_at(table, AT_CHORDS);
            }
        }
    }
    return at;
}

static const uint8_t *section(const uint8_t *table, uint8_t which)
{
    return table + offset_of(table, which);
}

#if MM_CHECKSUM
/* The CRC of ITU-T V.41, annex I 2.1 (x^16 + x^12 + x^5 + 1), begun with all ones: 0 with the checksum at the end. */
static APART uint16_t remainder_of(const uint8_t *at, uint16_t size)
{
    uint16_t crc = 0xFFFFu;
    for (; size > 0u; size--) {
        uint8_t x = (uint8_t)(crc >> 8 ^ MM_READ_NEXT(at));
        x = (uint8_t)(x ^ x >> 4);
        crc = (uint16_t)(crc << 8 ^ (uint16_t)((uint16_t)x << 12) ^ (uint16_t)((uint16_t)x << 5) ^ x);
    }
    return crc;
}
#endif

/* Makes this the layout that judges input, if it is whole and its counts fit its size, so that no later read can leave
 * it. */
static APART bool adopt(mm_state *state, const uint8_t *table, uint16_t size)
{
    const uint8_t *at;
#if MM_PADS
    const uint8_t *pads = NULL;
#endif
    unsigned left = size;
    unsigned head, number;
    if (table == NULL || left < HEADER || byte_at(table, AT_VERSION) != MM_TABLE_VERSION ||
        byte_at(table, AT_SELECT) > MM_SELECT_MAX || byte_at(table, AT_SENSE) > MM_SENSE_MAX
#if FOREIGN
        || (byte_at(table, AT_FLAGS) & FOREIGN) != 0u
#endif
#if MM_CHECKSUM
        || remainder_of(table, size) != 0u
#endif
    ) {
        return false;
    }
    head = offset_of(table, GROUPS);
    if (head > left) {
        return false;
    }
    left -= head;
    at = table + head;
    for (number = byte_at(table, AT_GROUPS); number > 0u; number--) {
        uint8_t kind, count;
        if (left < 4u || MM_READ(at + 1) >= byte_at(table, AT_DEMANDS)) {
            return false;
        }
        kind = MM_READ(at + 2) & KIND_BITS;
        count = MM_READ(at + 3);
        at += 4;
        left -= 4u;
        for (; count > 0u; count--, at += 2) {
            if (left < 2u || MM_READ(at) >= USAGES || (kind == CHORD && MM_READ(at + 1) >= byte_at(table, AT_CHORDS))) {
                return false;
            }
            left -= 2u;
        }
    }
#if MM_PADS
    if (left > CHECKSUM) {
        pads = at;
        number = MM_READ(at);
        if (number > MM_CONTROLLERS) {
            return false;
        }
        left -= FIRST_CONTROLLER + CONTROLLER_BYTES * number; /* of too few bytes a number without end is left */
    }
#endif
    if (left != CHECKSUM) {
        return false;
    }
#if MM_PADS
    state->input_pads = pads;
#endif
    state->input = table;
    return true;
}

/* ---- input: what the keyboards say ---- */

static APART mm_slot *slot_at(mm_state *state, mm_count number)
{
    return &state->slots[number];
}

static uint8_t bit(uint8_t number)
{
#if defined(__AVR__) /* a shift by any number is a loop there */
    uint8_t one = (number & 1u) != 0u ? 2u : 1u;
    if ((number & 2u) != 0u) {
        one = (uint8_t)(one << 2);
    }
    if ((number & 4u) != 0u) {
        one = (uint8_t)(one << 4);
    }
    return one;
#else
    return (uint8_t)(1u << (number & 7u));
#endif
}

/* A set of usages is a bitmap whose byte of modifiers stands apart. An opened stroke has a time where its usage was, so
 * any value comes here; what it gives for that does not count. */
static bool is_down(const uint8_t *set, uint8_t modifiers, uint8_t usage)
{
    uint8_t byte = usage >> 3;
    return ((byte >= MODIFIER_BYTE ? modifiers : set[byte]) & bit(usage)) != 0u;
}

static void mark_down(uint8_t *set, uint8_t usage)
{
    set[usage >> 3] |= bit(usage);
}

/* The machine modifiers that this keyboard holds, now that it has `set`. Their usages are known as down at once: they
 * are no presses. */
static uint8_t modifiers_of(const uint8_t *table, uint8_t *known, const uint8_t *set, uint8_t modifiers)
{
    const uint8_t *entry = section(table, GROUPS);
    uint8_t live = 0u;
    unsigned number, left;
    for (number = byte_at(table, AT_GROUPS); number > 0u && MM_READ(entry + 2) == MODIFIER; number--) {
        entry += 3;
        for (left = MM_READ_NEXT(entry); left > 0u; left--) {
            uint8_t usage = MM_READ_NEXT(entry);
            uint8_t value = MM_READ_NEXT(entry);
            if (is_down(set, modifiers, usage)) {
                live |= value;
                mark_down(known, usage);
            }
        }
    }
    return live;
}

static uint8_t live_of(const mm_state *state)
{
    uint8_t live = state->live[0];
    uint8_t i;
    for (i = 1u; i < MM_KEYBOARDS; i++) {
        live |= state->live[i];
    }
    return live;
}

#if MM_TAPS
/* No modifiers are alone any more. */
static APART void forget_taps(mm_state *state)
{
    state->tapped = 0u;
    if (state->alone != 0u) {
        state->alone = 0u;
        state->close_left = 0u;
    }
}
#endif

/* The line has room for it. */
static mm_slot *join_line(mm_state *state, uint8_t usage, uint8_t how, uint8_t modifiers)
{
    mm_slot *slot = slot_at(state, (mm_count)(state->strokes + state->waiting));
    state->waiting++;
    if (state->behind != NO_CHANGE) {
        state->behind++;
    }
    slot->what = how;
    slot->is.press.usage = usage;
    slot->is.press.modifiers = modifiers;
#if MM_TAPS
    forget_taps(state);
#endif
    return slot;
}

/* `how` is mm_slot.what of a press as the modifier byte alone gives it. */
static APART void press_key(mm_state *state, uint8_t usage, uint8_t how)
{
    const uint8_t value = state->locks & byte_at(state->input, AT_FLAGS);
    join_line(state, usage, how, live_of(state))->value = value;
}

/* A modifier byte as mm_slot.what has it, with further bits of that. */
static uint8_t typed_by(const mm_state *state, uint8_t modifiers, uint8_t how)
{
    if ((modifiers & RIGHT_ALT) != 0u && (byte_at(state->input, AT_FLAGS) & FLAG_ALT_GR) != 0u) {
        modifiers &= (uint8_t)~RIGHT_ALT;
        how |= HOW_ALT_GR;
    }
    return (uint8_t)(((modifiers | modifiers >> 4) & 0x0Fu) | how);
}

APART mm_result mm_usages(mm_state *state, uint8_t keyboard, const uint8_t down[32])
{
    uint8_t *known;
    const uint8_t *set = down;
    mm_slot *slot = state->slots;
    mm_result result = MM_TAKEN;
    uint8_t of_keyboard = (uint8_t)(keyboard << KEYBOARD_SHIFT);
    uint8_t modifiers, how, i;
    mm_count slots;
    if (state->table == NULL || keyboard >= MM_KEYBOARDS) {
        return MM_MALFORMED;
    }
    known = state->down[keyboard];
    modifiers = down[MODIFIER_BYTE];
    if ((down[0] & ROLL_OVER) != 0u) {
        set = known;
        result = MM_ROLLED;
    }
    for (slots = (mm_count)(state->strokes + state->waiting); slots > 0u; slots--, slot++) {
        if ((slot->what & (OF_KEYBOARD | RELEASED)) == of_keyboard &&
            !is_down(set, modifiers, slot->is.stroke.usage)) {
            slot->what |= RELEASED;
        }
    }
    how = modifiers_of(state->input, known, set, modifiers);
#if MM_TAPS
    state->tapped |= how & (uint8_t)~state->live[keyboard];
#endif
    state->live[keyboard] = how;
    how = modifiers;
#if MM_KEYBOARDS > 1
    for (i = 0u; i < MM_KEYBOARDS; i++) {
        if (i != keyboard && (byte_at(state->input, AT_FLAGS) & FLAG_APART) == 0u) {
            how |= state->down[i][MODIFIER_BYTE];
        }
    }
#endif
    how = typed_by(state, how, of_keyboard);
    i = 0u;
    if (set == known) {
        i = MODIFIER_BYTE;
    }
    do {
        uint8_t usage = (uint8_t)(i << 3);
        uint8_t after = down[i];
        uint8_t fresh = (uint8_t)(after & (uint8_t)~known[i]);
        known[i] = after;
        for (; fresh != 0u; fresh >>= 1, usage++) {
            uint8_t lock = 0u;
            if ((fresh & 1u) == 0u || usage == 0u) {
                continue;
            }
            if (usage == USAGE_CAPS_LOCK) {
                lock = FLAG_CAPS_LOCK;
            }
            if (usage == USAGE_NUM_LOCK) {
                lock = FLAG_NUM_LOCK;
            }
            if (lock != 0u && (byte_at(state->input, AT_FLAGS) & lock) != 0u) {
                state->locks ^= lock;
            } else if (state->waiting < MM_WAITING) {
                press_key(state, usage, how);
            } else {
                state->overflows++;
                result = MM_DROPPED;
            }
        }
    } while (++i < MM_SET_BYTES);
    return result;
}

APART mm_result mm_boot_report(mm_state *state, uint8_t keyboard, const uint8_t *report, uint8_t length)
{
    uint8_t set[32];
    uint8_t i;
    if (length < 8u) {
        return MM_MALFORMED;
    }
    memset(set, 0, sizeof set);
    if (report != NULL) {
        set[MODIFIER_BYTE] = *report++;
        for (i = 6u; i > 0u; i--) {
            mark_down(set, *++report);
        }
    }
    return mm_usages(state, keyboard, set);
}

void mm_disconnected(mm_state *state, uint8_t keyboard)
{
    (void)mm_boot_report(state, keyboard, NULL, 8u);
}

/* ---- output: what the machine is shown ---- */

/* Whether a select line that was joined to `before` makes a phantom as it is now.
 *
 * Without diodes each connected part of the lines reads as a full block: there is none if and only if a select line
 * shares all sense lines with each one that it shares any with.
 *
 * Where pads pull sense lines low, what a select line joins must be read on another one, by its contacts or by a pull, if
 * any of it is. Looked at are this line on all others, and the others on this one where they have the new sense line: what
 * pads and modifiers make by themselves keeps no other key from being closed. */
static bool phantom(const mm_state *state, const mm_mask *line, mm_mask before)
{
    const mm_mask contact = *line;
    const mm_mask *other = state->closed;
#if MM_PADS
    const mm_mask fresh = contact ^ before;
    const mm_mask its = contact | line[PULLED];
    uint8_t left = byte_at(state->table, AT_SELECT); /* what is pulled whatever is strobed is pulled on no line beyond */
#else
    uint8_t left = DIRECT_LINES;
    (void)before;
#endif
    for (; left > 0u; left--) {
        const mm_mask joined = *other;
#if MM_PADS
        const mm_mask read = joined | other[PULLED];
#else
        const mm_mask read = joined;
#endif
        other++;
        if ((contact & read) != 0u) {
#if MM_PADS
            if ((contact & (mm_mask)~read) != 0u || ((joined & fresh) != 0u && (joined & (mm_mask)~its) != 0u)) {
                return true;
            }
#else
            if (contact != read) {
                return true;
            }
#endif
        }
    }
    return false;
}

/* Closes the contacts of a stroke or modifier key, one after the other; if it is `judged`, only while each is open and
 * makes no phantom and not too many keys. False: one did; those of a chord that were closed before it stay so. */
static APART bool join(mm_state *state, uint8_t kind, uint8_t value, bool judged)
{
    const uint8_t *pair = NULL;
    uint8_t left = 1u;
    kind &= KIND;
    if (kind == CHORD) {
        pair = section(state->table, CHORDS) + 8u * value;
        left = CHORD_CONTACTS;
    }
    for (; left > 0u; left--) {
        mm_mask *line = &state->closed[DIRECT_LINES];
        mm_mask contact, before;
        if (pair != NULL) {
            kind = MM_READ(pair++);
            value = MM_READ(pair++);
        }
        if (kind == CROSSPOINT && value >> 4 < DIRECT_LINES) {
            line = &state->closed[value >> 4];
        } else if (kind != DIRECT) {
            continue;
        }
        before = *line;
        contact = (mm_mask)(before | 1u << (value & 15u));
        *line = contact;
        if (judged) {
            if (before == contact) {
                return false;
            }
            if (kind == CROSSPOINT) {
                const uint8_t keys = (uint8_t)(state->keys + 1u);
                if (keys > byte_at(state->table, AT_ROLLOVER) ||
                    ((byte_at(state->table, AT_FLAGS) & FLAG_GUARD) != 0u && phantom(state, line, before))) {
                    *line = before;
                    return false;
                }
                state->keys = keys;
            }
        }
    }
    return true;
}

/* Opens everything but what pads close, and the modifiers. */
static APART void begin(mm_state *state, uint8_t modifiers)
{
    const uint8_t *pair = state->table + HEADER;
    uint8_t i;
#if MM_PADS
    memcpy(state->closed, state->closed + JOINED, PULLED * sizeof *state->closed);
#else
    memset(state->closed, 0, sizeof state->closed);
#endif
    state->keys = 0u;
    for (i = byte_at(state->table, AT_MODIFIERS); i > 0u; i--, modifiers >>= 1) {
        uint8_t kind = MM_READ_NEXT(pair) & DIRECT;
        uint8_t value = MM_READ_NEXT(pair);
        if ((modifiers & 1u) != 0u) {
            (void)join(state, kind, value, false);
        }
    }
}

#if MM_PADS
/* Puts together what pads close and pull. It changes seldom, and all that is shown or judged until then begins with it. */
static void close_pads(mm_state *state)
{
    const uint8_t *at = state->pads;
    const mm_pad *pad = state->pad;
    uint8_t left = MM_READ(at);
    uint8_t held = 0u;
    mm_mask *line;
    mm_mask always;
    memset(&state->closed[PULLED], 0, 2u * PULLED * sizeof *state->closed);
    at += FIRST_CONTROLLER + PAIRS;
    for (; left > 0u; left--) {
        const uint8_t *next = at + CONTROLLER_BYTES;
        uint8_t shut = pad++->shut;
        for (; shut != 0u; shut >>= 1) {
            uint8_t kind, value, modifier;
            if ((shut & 1u) == 0u) {
                at += 3;
                continue;
            }
            kind = MM_READ_NEXT(at);
            value = MM_READ_NEXT(at);
            modifier = MM_READ_NEXT(at);
            if (kind != MODIFIER && value >> 4 < DIRECT_LINES) {
                const mm_mask contact = (mm_mask)(1u << (value & 15u));
                held |= modifier;
                value >>= 4;
                if ((kind & DIRECT) != 0u) {
                    value = DIRECT_LINES;
                }
                line = &state->closed[PULLED + value];
                if (kind == CROSSPOINT) {
                    line += JOINED - PULLED;
                }
                *line |= contact;
            }
        }
        at = next;
    }
    state->held = held;
    line = &state->closed[PULLED + DIRECT_LINES];
    always = *line;
    for (left = DIRECT_LINES; left > 0u; left--) {
        *--line |= always;
    }
}
#endif

static APART void leave_line(mm_state *state)
{
    state->leading = 0u;
    state->strokes++;
    state->waiting--;
}

/* Whether a pad closes anything, the poll time that is left, whether a switch opened or closed in this call of mm_advance,
 * whether a stroke that asks for these modifiers lifts none that a pad holds, and whether they are those that are wanted, too. */
#if MM_PADS
#define PADDED(state) ((state)->shut != 0u)
#define POLL_LEFT(state) ((state)->poll_left)
#define CHANGED changed
#define FOLLOWS_PADS(state, asked) (((state)->held & (uint8_t)~(asked)) == 0u)
#define WANTED(state, asked) ((asked) == (state)->wanted && FOLLOWS_PADS(state, asked))
#else
#define PADDED(state) false
#define POLL_LEFT(state) 0u
#define CHANGED false
#define FOLLOWS_PADS(state, asked) true
#define WANTED(state, asked) ((asked) == (state)->wanted)
#endif

/* The modifier keys that are closed while no stroke rules. */
static uint8_t passed(const mm_state *state)
{
#if MM_PADS
    return state->typist | state->latches | state->held;
#else
    return state->typist | state->latches;
#endif
}

/* The modifier keys that a stroke asks for. */
static uint8_t asked_by(const mm_state *state, const uint8_t *demands, const mm_slot *slot)
{
    const uint8_t *pair = demands + 2u * slot->is.stroke.demand;
    return (uint8_t)((passed(state) & (uint8_t)~MM_READ(pair)) | MM_READ(pair + 1));
}

/* Whether the stroke closed last is; modifiers alone are none. */
static bool in_close_time(const mm_state *state)
{
#if MM_TAPS
    return state->close_left != 0u && state->alone == 0u;
#else
    return state->close_left != 0u;
#endif
}

#if MM_PADS
/* Finds which switches of pads are closed now: none while a layout change is due. Whether that changed. */
static APART_BUT_ON_AVR bool follow_pads(mm_state *state)
{
    const bool due = state->leading == 0u && state->close_left == 0u && state->waiting == state->behind;
    const bool begins = state->poll_left == 0u;
    mm_pad *pad = state->pad;
    uint8_t changed = 0u;
    uint8_t fresh = 0u;
    uint8_t any = 0u;
    if (state->pads == NULL) {
        state->shut = 0u;
        return false;
    }
    do {
        uint8_t shut = 0u;
        if (begins) {
            pad->old = pad->young;
            fresh |= pad->young;
            pad->young = 0u;
        }
        if (!due) {
            shut = pad->on | pad->young | pad->old;
        }
        changed |= shut ^ pad->shut;
        pad->shut = shut;
        any |= shut;
    } while (++pad != &state->pad[MM_CONTROLLERS]);
    state->shut = any;
    if (fresh != 0u) {
        state->poll_left = time_at(state->pads, AT_POLL);
    }
    if (changed == 0u) {
        return false;
    }
    close_pads(state);
    if (due) {
        state->settle_left = time_at(state->table, AT_LEAD);
    }
    return true;
}
#endif

/* Finds what stays closed once the modifiers are as the newest stroke asks, and opens the rest. False: the newest is
 * refused.
 *
 * Where pads are, also what stays as it is `shown`: with the modifiers that are closed now, and without a stroke that is
 * led. If that is `judged`, what breaks a rule there gives way. */
static bool sort_out(mm_state *state, bool shown, bool judged)
{
    const uint8_t *demands = section(state->table, DEMANDS);
    mm_slot *slot;
    mm_slot *const end = slot_at(state, state->strokes);
    bool first, again;

    do {
        again = false;
        first = !shown;
        slot = end;
        if (shown) {
            begin(state, state->modifiers);
        } else {
            slot += state->leading;
        }
        while (slot != state->slots) {
            bool clashed = shown; /* opened because of a pad */
            slot--;
            if ((slot->what & OPENED) != 0u) {
                continue;
            }
            if (shown ||
                ((slot->what & RELEASED) == 0u && (state->waiting != state->behind || in_close_time(state))) ||
                slot + in_close_time(state) >= end) {
                bool fits = shown;
                if (!shown) {
                    uint8_t modifiers = asked_by(state, demands, slot);
                    if (first) {
                        state->wanted = modifiers;
                        begin(state, modifiers);
                    }
                    fits = WANTED(state, modifiers);
                }
                if (fits) {
                    if (join(state, slot->what, slot->value, judged)) {
                        first = false;
                        continue;
                    }
                    again = (slot->what & CHORD) != 0u;
                }
#if MM_PADS
                if (first && PADDED(state)) {
                    clashed = true;
                }
#endif
#if MM_RESUME
                if ((!first || PADDED(state)) && (slot->what & RELEASED) == 0u &&
                    (byte_at(state->table, AT_FLAGS) & FLAG_RESUME) != 0u) {
                    slot->what |= ASIDE;
                }
#endif
            }
            slot->what |= OPENED;
#if MM_PADS
            if (clashed) {
                state->clashes++;
            }
#endif
            if (slot == end) {
                slot->OPEN_LEFT = 0u;
                if (!clashed) {
                    state->refusals++;
                }
                leave_line(state);
                return false;
            }
            slot->OPEN_LEFT = time_at(state->table, AT_OPEN);
            state->settle_left = time_at(state->table, AT_LEAD);
#if MM_PADS
            if (clashed && in_close_time(state) && slot + 1 == end) {
                state->close_left = 0u;
            }
#endif
            if (again) {
                break;
            }
        }
    } while (again);
    if (first) {
        state->keys = 0u;
        state->wanted = passed(state);
    }
    return true;
}

#if MM_RESUME
/* The newest of those that stand aside leads again, if nothing breaks a rule with it. The line is empty, and pass_time
 * has taken away those whose keys were released. */
static bool come_back(mm_state *state)
{
    const uint8_t *demands = section(state->table, DEMANDS);
    mm_slot *const end = slot_at(state, state->strokes);
    mm_slot *back = end;
    const bool full = state->keys >= byte_at(state->table, AT_ROLLOVER); /* by those that sort_out has kept */
    while (back != state->slots) {
        const mm_slot *slot = end;
        mm_slot it;
        uint8_t asked;
        bool fits;
        back--;
        if ((back->what & ASIDE) == 0u || back->OPEN_LEFT != 0u || (full && (back->what & KIND) == CROSSPOINT)) {
            continue;
        }
        it = *back;
        asked = asked_by(state, demands, back);
        begin(state, asked);
        fits = FOLLOWS_PADS(state, asked) && join(state, it.what, it.value, true);
        while (fits && slot != state->slots) {
            slot--;
            if ((slot->what & OPENED) == 0u) {
                fits = asked_by(state, demands, slot) == asked && join(state, slot->what, slot->value, true);
            }
        }
        if (fits) {
            state->strokes--;
            memmove(back, back + 1, (size_t)((uint8_t *)end - (uint8_t *)(back + 1)));
            it.what &= (uint8_t)~(OPENED | ASIDE);
            end[-1] = it;
            state->waiting = 1u;
            state->leading = 1u;
            return true;
        }
    }
    return false;
}
#endif

/* The entry for a press in the layout: Control, Alt and Meta exactly as held, else an entry without them; of the entries
 * for pairs only those of the dead key that is pending. Gives the byte of the kind.
 *
 * The longest search of all, so entries are read straight on: most groups are short. An accent by itself is found among
 * pairs only, which stand before the rest. */
static APART uint8_t look_up(const uint8_t *table, mm_slot *slot, uint8_t accent)
{
    const uint8_t *at = section(table, GROUPS);
    uint8_t usage = slot->is.press.usage;
    uint8_t held = (uint8_t)(slot->what << WHEN_SHIFT) & WHEN_HELD;
    uint8_t level = 1u;
    uint8_t kind = NOTHING;
    uint8_t number;
    accent = (uint8_t)(accent << AFTER_SHIFT);
    if ((slot->what & HOW_SHIFT) != 0u) {
        level = 2u;
    }
    if ((slot->what & HOW_ALT_GR) != 0u) {
        level = (uint8_t)(level << 2);
    }
    for (number = byte_at(table, AT_GROUPS); number > 0u; number--) {
        uint8_t when = MM_READ_NEXT(at);
        uint8_t demand = MM_READ_NEXT(at);
        uint8_t its = MM_READ_NEXT(at);
        uint8_t left = MM_READ_NEXT(at);
        const uint8_t *entry = at;
        at += 2u * left;
        if ((when & level) == 0u) {
            continue;
        }
        if ((uint8_t)(its - MM_PAIR_OF(1u)) < MM_PAIR_OF(DEAD_KEYS)) {
            if ((its ^ accent) > KIND_BITS) {
                continue;
            }
        } else if (usage == ALONE && its != MODIFIER) {
            break;
        }
        when &= WHEN_HELD;
        if (when != 0u && when != held) {
            continue;
        }
        for (; entry != at; entry++) {
            uint8_t its_usage = MM_READ_NEXT(entry);
            if (its_usage < usage) {
                continue;
            }
            if (its_usage == usage) {
                kind = its;
                slot->is.stroke.demand = demand;
                slot->value = MM_READ(entry);
                if (when == held) {
                    return kind;
                }
            }
            break;
        }
    }
    return kind;
}

static uint8_t caps_pairs(const uint8_t *table, uint8_t usage)
{
    const uint8_t *range = section(table, CAPS_RANGES);
    uint8_t left;
    for (left = byte_at(table, AT_CAPS); left > 0u; left--) {
        uint8_t first = MM_READ_NEXT(range);
        uint8_t last = MM_READ_NEXT(range);
        uint8_t pairs = MM_READ_NEXT(range);
        if (usage >= first && usage <= last) {
            return pairs;
        }
    }
    return 0u;
}

/* The level of a press, once the locks that it took along count. They must change nothing when it is taken again. */
static void set_level(const uint8_t *table, mm_slot *slot)
{
    uint8_t usage = slot->is.press.usage;
    uint8_t lock = slot->value;
    uint8_t how = slot->what;
    if (usage >= KEYPAD_FIRST && usage <= KEYPAD_LAST) {
        how = (uint8_t)((how & (uint8_t)~(HOW_SHIFT | HOW_ALT_GR)) | (lock >> SHIFT_TO_NUM_LOCK & HOW_SHIFT));
    } else if ((lock & FLAG_CAPS_LOCK) != 0u && (how & HOW_CONTROL) == 0u &&
               (caps_pairs(table, usage) & ((how & HOW_ALT_GR) != 0u ? 2u : 1u)) != 0u) {
        how ^= HOW_SHIFT;
    }
    slot->what = how;
}

#if MM_SEQUENCES
/* What the oldest press comes to, as a kind: it may be the accent before it, or a stroke of a sequence, while the press
 * itself goes behind that. As a place is free, so is a slot. */
static APART uint8_t compose(mm_state *state, mm_slot *slot)
{
    uint8_t usage = slot->is.press.usage;
    uint8_t modifiers = slot->is.press.modifiers;
    uint8_t accent = state->accent;
    uint8_t number = accent & NUMBER;
    uint8_t going = accent & SEQUENCE;
    uint8_t of_accent = accent & OF_ACCENT;
    uint8_t first = NO_USAGE;
    uint8_t kind, after, held;
    bool apart = false;
    if (of_accent != 0u) {
        first = GOES_ON;
        state->accent = 0u;
    } else {
        if (going != 0u) {
            slot->what &= (uint8_t)~HOW_HELD;
        }
        held = slot->what & HOW_HELD;
        kind = look_up(state->table, slot, held != 0u ? 0u : number);
        after = kind & (uint8_t)~KIND_BITS;
        kind &= KIND_BITS;
        if (going != 0u && after != MM_PAIR_OF(number)) {
            kind = NOTHING; /* in a damaged table: else it would begin again, without end */
        }
        if (going != 0u || (after != MM_KEEPS && kind != NOTHING && accent != 0u)) {
            state->accent = 0u;
            if (going == 0u && held == 0u) {
                if (after == MM_TAKES_BACK) {
                    kind = NOTHING;
                }
                if (after == 0u) {
                    first = ALONE;
                    of_accent = OF_ACCENT;
                }
            }
        }
    }
    /* Bounded: the number of a sequence is higher each time. */
    for (;;) {
        if (first != NO_USAGE) {
            if (!apart) {
                memmove(slot + 1, slot, state->waiting * sizeof *slot);
                state->waiting++;
                slot->what |= RELEASED;
                slot[1].value = (uint8_t)(slot->what << SHIFT_TO_NUM_LOCK) & FLAG_NUM_LOCK;
                slot[1].is.press.usage = usage;
                slot[1].is.press.modifiers = modifiers;
                apart = true;
            }
            slot->is.press.usage = first;
            kind = look_up(state->table, slot, number);
            if ((kind & (uint8_t)~KIND_BITS) != MM_PAIR_OF(number)) {
                kind = NOTHING;
            }
            kind &= KIND_BITS;
        }
        if (kind != DEAD_KEY) {
            return kind;
        }
        after = slot->value & NUMBER;
        if ((slot->value & SEQUENCE) == 0u) {
            return apart ? NOTHING : DEAD_KEY; /* in a damaged table: else it would be pending again, without end */
        }
        if (going != 0u && after <= number) {
            return NOTHING;
        }
        going = SEQUENCE;
        number = after;
        first = ALONE;
        state->accent = SEQUENCE | of_accent | number;
    }
}
#endif

static void take_press(mm_state *state)
{
    mm_slot *slot = slot_at(state, state->strokes);
    uint8_t modifiers = slot->is.press.modifiers;
    uint8_t kind;
#if !MM_SEQUENCES
    uint8_t usage = slot->is.press.usage;
    uint8_t held = slot->what & HOW_HELD;
    uint8_t after;
#endif
    set_level(state->table, slot);
#if MM_SEQUENCES
    kind = compose(state, slot);
#else
    kind = look_up(state->table, slot, held != 0u ? 0u : state->accent);
    after = kind & (uint8_t)~KIND_BITS;
    kind &= KIND_BITS;
    if (state->accent != 0u && kind != NOTHING && after != MM_KEEPS) {
        if (held == 0u && after == MM_TAKES_BACK) {
            kind = NOTHING;
        }
        if (held == 0u && after == 0u) {
            /* No pair: the accent comes first, and the press after it. As a place is free, so is a slot. */
            slot->is.press.usage = 0u;
            kind = look_up(state->table, slot, state->accent) & KIND_BITS;
            if (kind == DEAD_KEY) {
                kind = NOTHING; /* in a damaged table: else it would be pending again, without end */
            }
            memmove(slot + 1, slot, state->waiting * sizeof *slot);
            state->waiting++;
            slot->what |= RELEASED;
            slot[1].value = (uint8_t)(slot->what << SHIFT_TO_NUM_LOCK) & FLAG_NUM_LOCK;
            slot[1].is.press.usage = usage;
            slot[1].is.press.modifiers = modifiers;
        }
        state->accent = 0u;
    }
#endif
    slot->what &= RELEASED | OF_KEYBOARD;
    if (kind < MODIFIER) {
        slot->what |= kind;
        state->typist = modifiers;
        state->leading = 1u;
        return;
    }
    if (kind == LATCH) {
        state->latches ^= slot->value;
    } else if (kind == COMMAND) {
        state->command = slot->value;
        state->command_due = 1u;
    } else if (kind == DEAD_KEY) {
        state->accent = slot->value;
    }
    slot->what |= OPENED;
    slot->OPEN_LEFT = 0u;
    leave_line(state);
}

static uint16_t less(uint16_t left, uint16_t step)
{
    return left > step ? (uint16_t)(left - step) : 0u;
}

static APART uint16_t sooner(uint16_t next, uint16_t left)
{
    return left != 0u && left < next ? left : next;
}

/* Lets time pass; the time to the end of the first open time. What was opened a moment ago the machine may still hold
 * down: the same contact, chords, and the rollover wait for it. */
static uint16_t pass_time(mm_state *state, uint16_t step)
{
    uint16_t next = MM_NEVER;
    mm_slot *to = state->slots;
    mm_slot *slot = to;
    mm_slot *const newest = slot_at(state, state->strokes);
    state->recent = 0u;
    for (; slot != newest; slot++) {
        if ((slot->what & OPENED) != 0u) {
            uint16_t left = less(slot->OPEN_LEFT, step);
            if (left == 0u) {
#if MM_RESUME
                if ((slot->what & (ASIDE | RELEASED)) == ASIDE && state->waiting != state->behind) {
                    slot->OPEN_LEFT = 0u;
                    *to++ = *slot;
                    continue;
                }
#endif
                state->strokes--;
                continue;
            }
            slot->OPEN_LEFT = left;
            next = sooner(next, left);
            if (((slot->what | newest->what) & CHORD) != 0u ||
                (((slot->what ^ newest->what) & KIND) == 0u && slot->value == newest->value)) {
                state->recent |= BLOCKED;
            }
            if ((slot->what & KIND) == CROSSPOINT) {
                state->recent++;
            }
        }
        *to++ = *slot;
    }
    if (to != newest) {
        memmove(to, newest, state->waiting * sizeof *slot);
    }
    state->settle_left = less(state->settle_left, step);
    state->close_left = less(state->close_left, step);
    return next;
}

#if !MM_PADS
/* What stays makes no phantom with modifiers that still lag either: a part of a set without one has none, save of a
 * full block, and no such block is built up stroke by stroke. */
static void present(mm_state *state)
{
    const mm_slot *slot;
    mm_count i;
    begin(state, state->modifiers);
    for (slot = state->slots, i = state->strokes; i > 0u; i--, slot++) {
        if ((slot->what & OPENED) == 0u) {
            (void)join(state, slot->what, slot->value, false);
        }
    }
}
#endif

#if MM_WHOLE
/* Whether the machine compares whole scans. */
static bool whole(const mm_state *state)
{
    return (byte_at(state->table, AT_FLAGS) & FLAG_WHOLE) != 0u;
}

/* Where contacts change now, lead or close time have just begun: then open times begin anew, for the machine counts anew.
 * `next` is the time to the end of the first open time, 0 if a call is due at once. */
static uint16_t begin_anew(mm_state *state, uint16_t next, bool changed)
{
    const uint16_t open = time_at(state->table, AT_OPEN);
    mm_slot *slot = state->slots;
    mm_count i;
#if MM_PADS
    if (changed && whole(state)) {
        if (state->close_left != 0u) {
            state->close_left = time_at(state->table, AT_CLOSE);
        }
    } else
#else
    (void)changed;
#endif
    if (!whole(state) || (state->settle_left != time_at(state->table, AT_LEAD) &&
                          !(in_close_time(state) && state->close_left == time_at(state->table, AT_CLOSE)))) {
        return next;
    }
    for (i = state->strokes; i > 0u; i--, slot++) {
        if ((slot->what & OPENED) != 0u && slot->OPEN_LEFT != 0u) {
            slot->OPEN_LEFT = open;
            if (next != 0u && next != MM_NEVER) {
                next = open;
            }
        }
    }
    return next;
}
#endif

uint16_t mm_advance(mm_state *state, uint16_t now)
{
    uint16_t step, next;
#if MM_PADS
    bool changed;
#endif
    if (state->table == NULL) {
        return MM_NEVER;
    }
    step = (uint16_t)(now - state->now);
    if (step < HALF_RANGE) {
        state->now = now;
    } else {
        step = 0u;
    }
    next = pass_time(state, step);
#if MM_PADS
    state->poll_left = less(state->poll_left, step);
#endif
    if (next == MM_NEVER && (state->close_left | state->settle_left | POLL_LEFT(state)) == 0u) {
        state->now = now;
    }
#if MM_PADS
    changed = follow_pads(state);
    if (changed) {
        next = 0u;
    }
#endif
#if MM_TAPS
    if (state->close_left == 0u) {
        state->alone = 0u;
    }
#endif
    if (!CHANGED && state->leading == 0u && state->close_left == 0u) {
        if (state->waiting == state->behind) {
            state->typist = 0u;
            state->latches = 0u;
            if ((state->strokes | state->modifiers) == 0u && state->settle_left == 0u) {
                state->table = state->input;
#if MM_PADS
                state->pads = state->input_pads;
#endif
                state->behind = NO_CHANGE;
                state->accent = 0u;
                return 0u;
            }
        } else if (state->waiting == 0u) {
            state->typist = live_of(state);
#if MM_TAPS
            state->typist |= state->tapped;
#endif
        } else if (state->strokes < MM_HELD) {
            take_press(state);
            return 0u;
        } else {
            state->slots[0].what |= RELEASED;
#if MM_RESUME
            if ((state->slots[0].what & OPENED) != 0u && state->slots[0].OPEN_LEFT == 0u) {
                return 0u;
            }
#endif
        }
    }
#if MM_WHOLE
    if (state->close_left != 0u && !CHANGED && whole(state)) {
        /* Nothing changes before that: the machine would count its scans anew. */
    } else
#endif
    if (!sort_out(state, false, true)) {
        next = 0u;
#if MM_RESUME
    } else if (!CHANGED && state->leading == 0u && state->close_left == 0u && state->waiting == 0u &&
               state->behind == NO_CHANGE && come_back(state)) {
        next = 0u;
#endif
    } else {
        if (state->settle_left != 0u) {
            /* Nothing changes before that. */
        } else if (state->modifiers != state->wanted) {
            state->modifiers = state->wanted;
            state->settle_left = time_at(state->table, AT_LEAD);
        } else if (state->leading != 0u && state->recent < BLOCKED &&
                   (state->recent == 0u || (uint8_t)(state->recent + state->keys) <= byte_at(state->table, AT_ROLLOVER))) {
            state->close_left = time_at(state->table, AT_CLOSE);
            leave_line(state);
        }
#if MM_TAPS
        if (!CHANGED && state->tapped != 0u && state->modifiers == state->wanted &&
            (state->leading | state->waiting | state->close_left) == 0u && state->behind == NO_CHANGE) {
            state->tapped = 0u;
            state->alone = 1u;
            state->close_left = time_at(state->table, AT_CLOSE);
        }
#endif
    }
#if MM_PADS
    (void)sort_out(state, true, changed || state->shut != 0u);
#else
    present(state);
#endif
#if MM_WHOLE
    next = begin_anew(state, next, CHANGED);
#endif
#if MM_PADS
    next = sooner(next, state->poll_left);
#endif
    return sooner(sooner(next, state->close_left), state->settle_left);
}

/* ---- the caller's side ---- */

bool mm_init(mm_state *state, const uint8_t *table, uint16_t size)
{
    bool sound;
    memset(state, 0, sizeof *state);
    state->behind = NO_CHANGE;
    sound = adopt(state, table, size);
    state->table = state->input;
#if MM_PADS
    state->pads = state->input_pads;
#endif
    return sound;
}

bool mm_change_layout(mm_state *state, const uint8_t *table, uint16_t size)
{
    uint8_t i;
    if (state->table == NULL || !adopt(state, table, size)) {
        return false;
    }
    if (state->behind != NO_CHANGE) {
        state->waiting = (mm_count)(state->waiting - state->behind);
        state->overflows = (uint16_t)(state->overflows + state->behind);
    }
    state->behind = 0u;
#if MM_TAPS
    forget_taps(state);
#endif
    for (i = 0u; i < MM_KEYBOARDS; i++) {
        state->live[i] = modifiers_of(state->input, state->down[i], state->down[i], state->down[i][MODIFIER_BYTE]);
    }
    return true;
}

mm_count mm_room(const mm_state *state)
{
    return state->table == NULL || state->waiting > MM_WAITING ? 0u : (mm_count)(MM_WAITING - state->waiting);
}

bool mm_type(mm_state *state, uint8_t usage, uint8_t modifiers)
{
    uint8_t set[32], known[32];
    uint8_t live, how;
    if (mm_room(state) == 0u || usage < FIRST_KEY || usage >= FIRST_MODIFIER) {
        return false;
    }
    memset(set, 0, sizeof set);
    memset(known, 0, sizeof known);
    mark_down(set, usage);
    live = modifiers_of(state->input, known, set, modifiers);
    if (is_down(known, 0u, usage)) {
        return false;
    }
    how = typed_by(state, modifiers, RELEASED);
    join_line(state, usage, how, live)->value = 0u;
    return true;
}

#if MM_PADS
void mm_controller(mm_state *state, uint8_t controller, uint8_t switches)
{
    const uint8_t *at = state->input_pads;
    uint8_t over = 0u;
    uint8_t i;
    mm_pad *pad;
    if (at == NULL || controller >= MM_READ(at)) {
        return;
    }
    at += FIRST_CONTROLLER + CONTROLLER_BYTES * controller;
    for (i = PAIRS; i > 0u; i--) {
        const uint8_t both = MM_READ_NEXT(at);
        const uint8_t one = switches & both;
        if (one != 0u) {
            over |= both ^ one;
            if (one == both) {
                switches ^= one;
            }
        }
    }
    pad = &state->pad[controller];
    pad->on = switches;
    state->shut |= switches;
    over = (uint8_t)~over;
    pad->young = (uint8_t)((pad->young & over) | (switches & (uint8_t)~pad->shut));
    pad->old &= over;
}

void mm_unplugged(mm_state *state, uint8_t controller)
{
    if (controller < MM_CONTROLLERS) {
        mm_pad *pad = &state->pad[controller];
        pad->on = 0u;
        pad->young = 0u;
        pad->old = 0u;
    }
}

uint16_t mm_pulls(const mm_state *state, uint8_t select)
{
    return state->closed[PULLED + (select < MM_SELECT_MAX ? select : DIRECT_LINES)];
}

uint16_t mm_clashes(const mm_state *state)
{
    return state->clashes;
}
#endif

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
    uint8_t locks = 0u;
    uint8_t leds;
    if (state->input != NULL) {
        locks = state->locks & byte_at(state->input, AT_FLAGS);
    }
    leds = (uint8_t)((0xFFu ^ locks) >> NUM_LOCK_SHIFT & MM_LED_NUM_LOCK);
    if (((locks & FLAG_CAPS_LOCK) | state->latches) != 0u) {
        leds |= MM_LED_CAPS_LOCK;
    }
    return leds;
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
    return (state->waiting | state->strokes | live_of(state) | (state->modifiers ^ state->latches) |
#if MM_TAPS
            state->tapped | state->alone |
#endif
#if MM_PADS
            state->shut | state->poll_left |
#endif
            state->settle_left | (mm_count)~state->behind) == 0u;
}
