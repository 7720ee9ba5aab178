/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * One call of the runtime from any state under the invariant, for CBMC: what holds after it holds after any number of
 * calls, for mm_init gives an empty state.
 *
 * Bounds: one keyboard, MM_HELD 2, MM_WAITING 2, a matrix of 2x2 with two direct lines. `table` stands; while a layout
 * change waits, input is judged by `table` or by `other`, whose modifier keys, latches and demands are not those of
 * `table`. Times, demands, kinds, usages, modifiers, latches and counters in the state are any values. STROKES, WAITING
 * and LEADING are fixed by the caller, who goes through all of them. PART names what is called.
 *
 * PART_PADS has two controllers besides, MM_PADS 1, with switches of every wiring, in any state of them. PART_FOLLOW
 * and PART_SHOWN have them too: these are the first and the last step of mm_advance that do what is done for pads, each from
 * any state, for CBMC comes to no end with a whole call.
 *
 * With COMPARES_WHOLE both layouts are of a machine that compares whole scans.
 *
 * With SAMPLED, step() is compiled for the host instead and called with states drawn at random (sampled.h).
 *
 * `copied.c` is the runtime in which mm_advance calls passing_time in place of pass_time, and mm_usages pressing in
 * place of press_key. Both do anything to what the real ones change; the real ones are proven by themselves (PART_TIME,
 * PART_PRESS).
 */
#include <stdint.h>

#include "mm_runtime.h"

static uint16_t passing_time(mm_state *state, uint16_t step);
static void pressing(mm_state *state, uint8_t usage, uint8_t how);

#include "copied.c"

#ifdef SAMPLED
#include "sampled.h"
#else
#define HOLDS(claim) __CPROVER_assert(claim, #claim)
#define SUPPOSE(claim) __CPROVER_assume(claim)
uint8_t nondet_byte(void);
uint16_t nondet_word(void);
mm_state nondet_state(void);
#endif

#if MM_RESUME
#define COMES_BACK FLAG_RESUME
#else
#define COMES_BACK 0u
#endif

#ifdef COMPARES_WHOLE
#define WHOLE_SCANS FLAG_WHOLE
#else
#define WHOLE_SCANS 0u
#endif

static const uint8_t table[] = {
    MM_TABLE_VERSION, 2, 2, 2, 2, 3, 0, 2, 7, FLAG_GUARD | COMES_BACK | WHOLE_SCANS, LIMIT, 3, 0, 2, 0, 1, 0,
    CROSSPOINT, 0x00, DIRECT, 0,         /* modifier keys */
    0, 0, 3, 1, 1, 0,                    /* demands: nothing, hold the first and lift the second, lift the first */
    CROSSPOINT, 0x10, DIRECT, 1, 0xFF, 0, 0xFF, 0, /* a chord */
    0xFF, 0, 0xFF, 0, 0xFF, 0, 0xFF, 0,  /* a stroke of modifiers alone: no contact */
    15, 0, MODIFIER, 1, 0xE1, 1,
    1, 1, CROSSPOINT, 2, 4, 0x11, 5, 0x01,
    2, 2, CROSSPOINT, 2, 4, 0x10, 5, 0x11,
    15, 1, CHORD, 2, 6, 0, 9, 1,
    15, 0, DEAD_KEY, 1, 7, 1,
    15, 0, LATCH, 1, 8, 1,
    15, 1, CROSSPOINT | 1 << AFTER_SHIFT, 1, 0, 0x01, /* the dead key alone */
#if MM_PADS
    2, 3, 0, /* controllers, poll time */
    3, 0, PULLS | DIRECT, 0, 0, PULLS | DIRECT, 1, 0, PULLS | CROSSPOINT, 0x01, 0, PULLS | CROSSPOINT, 0x10, 0,
    MODIFIER, 0, 0, MODIFIER, 0, 0, MODIFIER, 0, 0, MODIFIER, 0, 0,
    0, 0, CROSSPOINT, 0x00, 1, CROSSPOINT, 0x11, 0, CROSSPOINT, 0x01, 0, MODIFIER, 0, 0,
    MODIFIER, 0, 0, MODIFIER, 0, 0, MODIFIER, 0, 0, MODIFIER, 0, 0,
#endif
    0, 0, /* no checksum: what holds must not hang on one */
};

/* To change to. Its latch is none of `table`, its Shift feeds another modifier key than there. */
static const uint8_t other[] = {
    MM_TABLE_VERSION, 2, 2, 2, 3, 2, 0, 0, 4, FLAG_GUARD | WHOLE_SCANS, LIMIT, 2, 0, 3, 0, 2, 0,
    DIRECT, 1, CROSSPOINT, 0x11, DIRECT, 0, /* modifier keys */
    0, 0, 7, 2,                          /* demands: nothing, hold the second and lift the others */
    15, 0, MODIFIER, 1, 0xE1, 4,
    15, 1, CROSSPOINT, 2, 4, 0x10, 6, 0x00,
    15, 0, LATCH, 1, 9, 2,
    15, 0, COMMAND, 1, 8, 1,
    0, 0,
};

/* The slots are any already; which opened strokes hold others up is any too. */
static uint16_t passing_time(mm_state *state, uint16_t step)
{
    (void)step;
#ifndef PART_DRAIN
    state->recent = nondet_byte();
#endif
    return nondet_word();
}

/* The slot behind those that count is any already. */
static void pressing(mm_state *state, uint8_t usage, uint8_t how)
{
#if defined(PART_EMPTY) || defined(PART_MALFORMED)
    HOLDS(!"a press");
#elif defined(PART_ROLLED)
    HOLDS(usage >= FIRST_MODIFIER);
#endif
    HOLDS(state->waiting < MM_WAITING);
#if defined(SAMPLED)
    press_key(state, usage, how);
#elif defined(PART_ROLLED)
    if (usage >= FIRST_MODIFIER) {
        press_key(state, usage, how);
    }
#else
    (void)how;
    state->waiting++;
    if (state->behind != NO_CHANGE) {
        state->behind++;
    }
#endif
}

/* Counts belong together. */
static bool counted(const mm_state *state)
{
    return state->leading <= 1u && state->strokes + state->leading <= MM_HELD &&
           state->strokes + state->waiting <= MM_HELD + MM_WAITING && state->leading <= state->waiting &&
           state->waiting <= MM_WAITING + state->leading && (state->alone == 0u || state->leading == 0u) &&
           (state->behind == NO_CHANGE || state->behind + state->leading <= state->waiting);
}

/* A stroke that is led or closed names a demand and a contact or chord of the table. */
static bool named(const mm_state *state, uint8_t number)
{
    const mm_slot *slot = &state->slots[number];
    if (number >= state->strokes + state->leading) {
        return true;
    }
    if (number < state->strokes && (slot->what & OPENED) != 0u) {
        if ((slot->what & ASIDE) == 0u || !MM_RESUME) {
            return true;
        }
    } else if ((slot->what & (OPENED | ASIDE)) != 0u) {
        return false;
    }
#if MM_PADS
    if ((slot->what & PULLS) != 0u) {
        return false;
    }
#endif
    return slot->is.stroke.demand < table[AT_DEMANDS] &&
           (slot->what & KIND) != MODIFIER && ((slot->what & KIND) != CHORD || slot->value < table[AT_CHORDS]) &&
           ((slot->what & KIND) != CROSSPOINT || (slot->value & 0xEEu) == 0u);
}

/* P2: a modifier key that a closed stroke's demand names is as it asks. */
static bool shifted(const mm_state *state, uint8_t number, uint8_t key)
{
    const mm_slot *slot = &state->slots[number];
    uint8_t rule, hold;
    if (number >= state->strokes || (slot->what & OPENED) != 0u) {
        return true;
    }
    rule = table[HEADER + 4u + 2u * slot->is.stroke.demand];
    hold = table[HEADER + 5u + 2u * slot->is.stroke.demand];
    return (((rule | hold) & (state->modifiers ^ hold)) >> key & 1u) == 0u;
}

/* The slots are as they were, save what releases add to them and those that do not count. A press ends the close time of
 * modifiers alone. */
static bool kept(const mm_state *before, const mm_state *after)
{
    uint8_t i;
    bool same = before->strokes == after->strokes && before->leading == after->leading &&
                before->modifiers == after->modifiers && before->typist == after->typist &&
                before->latches == after->latches && before->accent == after->accent &&
                (before->close_left == after->close_left || before->alone != 0u) &&
                before->settle_left == after->settle_left &&
                before->table == after->table;
    for (i = 0u; i <= DIRECT_LINES; i++) {
        same = same && before->closed[i] == after->closed[i];
    }
    for (i = 0u; i < STROKES + WAITING; i++) {
        same = same && ((before->slots[i].what ^ after->slots[i].what) & (uint8_t)~RELEASED) == 0u &&
               before->slots[i].value == after->slots[i].value &&
               before->slots[i].is.stroke.usage == after->slots[i].is.stroke.usage &&
               before->slots[i].is.stroke.demand == after->slots[i].is.stroke.demand &&
               before->slots[i].OPEN_LEFT == after->slots[i].OPEN_LEFT;
    }
    return same;
}

#define LONGEST 0x3FFFu /* ticks that a time of a table can have */

/* No time that is left is longer. */
static bool settled_by(const mm_state *state, uint16_t time)
{
    bool so = state->close_left <= time && state->settle_left <= time;
    uint8_t i;
    for (i = 0u; i < MM_HELD; i++) {
        so = so && (i >= state->strokes || (state->slots[i].what & OPENED) == 0u ||
                    state->slots[i].OPEN_LEFT <= time);
    }
    return so;
}

/* No opened stroke has a place for nothing, as pass_time leaves it (PART_TIME). */
static bool passed_by(const mm_state *state)
{
    bool so = true;
    uint8_t i;
    for (i = 0u; i < STROKES; i++) {
        uint8_t what = state->slots[i].what;
        if (i < state->strokes && (what & OPENED) != 0u && state->slots[i].OPEN_LEFT == 0u) {
            so = so && MM_RESUME && (what & (ASIDE | RELEASED)) == ASIDE && state->waiting != state->behind;
        }
    }
    return so;
}

/* All keys are up: of the typist nothing is held, and all that counts is released. */
static bool all_up(const mm_state *state)
{
    bool up = state->live[0] == 0u;
    uint8_t i;
    for (i = 0u; i < MM_HELD + MM_WAITING; i++) {
        up = up && (i >= state->strokes + state->waiting || (state->slots[i].what & RELEASED) != 0u);
    }
    return up;
}

static uint8_t closed_strokes(const mm_state *state)
{
    uint8_t count = 0u;
    uint8_t i;
    for (i = 0u; i < MM_HELD; i++) {
        count = (uint8_t)(count + (i < state->strokes && (state->slots[i].what & OPENED) == 0u));
    }
    return count;
}

/* The modifier keys that are to be closed once all keys are up. */
static uint8_t asked(const mm_state *state)
{
    const uint8_t *demand;
    if (state->leading != 0u) {
        demand = table + HEADER + 4u + 2u * state->slots[state->strokes].is.stroke.demand;
        return (uint8_t)(((state->typist | state->latches) & (uint8_t)~demand[0]) | demand[1]);
    }
    return state->waiting == state->behind ? 0u : state->latches;
}

/* What is left to do once all keys are up: presses and a layout change, then closed strokes, then modifiers: those that
 * were tapped are closed first, and alone for a while. */
static uint16_t left_to_do(const mm_state *state)
{
    uint16_t first = (uint16_t)(4u * state->waiting + 2u * (state->accent != 0u) - 3u * state->leading +
                                (state->behind != NO_CHANGE));
    return (uint16_t)(8u * first + 2u * closed_strokes(state) + (state->modifiers != asked(state)) +
                      3u * (state->tapped != 0u) + (state->alone != 0u));
}

/* Whether the same contacts are closed. */
static bool stands_still(const mm_state *before, const mm_state *after)
{
    bool same = true;
    uint8_t i;
    for (i = 0u; i <= DIRECT_LINES; i++) {
        same = same && before->closed[i] == after->closed[i];
    }
    return same;
}

/* P5: three or four corners are closed by none but the modifiers (here one crosspoint): so at most two ever are. */
static bool unphantomed(const mm_state *state)
{
    uint8_t corners = (uint8_t)((state->closed[0] & 1u) + (state->closed[0] >> 1 & 1u) + (state->closed[1] & 1u) +
                                (state->closed[1] >> 1 & 1u));
    return corners <= 2u;
}

#if MM_PADS
/* The lines by the switches of `table` that are closed, each by its own words. */
static void work_lines(mm_state *state)
{
    const uint8_t a = state->pad[0].shut;
    const uint8_t b = state->pad[1].shut;
    const mm_mask always = a & 3u;
    state->closed[PULLED] = (mm_mask)(always | (a >> 2 & 1u) << 1);
    state->closed[PULLED + 1u] = (mm_mask)(always | (a >> 3 & 1u));
    state->closed[PULLED + DIRECT_LINES] = always;
    state->closed[JOINED] = (mm_mask)((b & 1u) | (b >> 2 & 1u) << 1);
    state->closed[JOINED + 1u] = (mm_mask)((b >> 1 & 1u) << 1);
    state->closed[JOINED + DIRECT_LINES] = 0u;
    state->held = b & 1u;
}

/* What pads close is as they say, and the section of the table is the one that stands. */
static void plug_pads(mm_state *state)
{
    state->pads = table + sizeof table - 2u - FIRST_CONTROLLER - 2u * CONTROLLER_BYTES;
    state->input_pads = state->input == table ? state->pads : NULL;
    state->poll_left &= LONGEST;
    state->shut = state->pad[0].shut | state->pad[1].shut;
    work_lines(state);
    begin(state, state->modifiers);
}

/* What is kept of pads is what their switches say. */
static bool plugged(const mm_state *state)
{
    mm_state other_way = *state;
    bool same = state->poll_left <= LONGEST && state->shut == (state->pad[0].shut | state->pad[1].shut);
    uint8_t i;
    work_lines(&other_way);
    for (i = 0u; i < PULLED; i++) {
        same = same && state->closed[PULLED + i] == other_way.closed[PULLED + i] &&
               state->closed[JOINED + i] == other_way.closed[JOINED + i];
    }
    return same && state->held == other_way.held;
}

/* No two opposite switches are on or kept. */
static bool unopposed(const mm_state *state)
{
    return (uint8_t)(state->pad[0].on | state->pad[0].young | state->pad[0].old) % 4u != 3u &&
           (state->pad[0].shut & 3u) != 3u;
}

/* Any report of a pad, or both pads are gone: whether they are. */
static bool any_of_pads(mm_state *state)
{
    const bool gone = nondet_byte() > 1u;
    if (gone) {
        mm_unplugged(state, 0u);
        mm_unplugged(state, 1u);
    } else {
        mm_controller(state, nondet_byte(), nondet_byte());
    }
    return gone;
}

/* The rule of the guard: each select line joins nothing or all of what is read on another. */
static bool clean(const mm_state *state)
{
    bool so = true;
    uint8_t s, t;
    for (s = 0u; s < 2u; s++) {
        const mm_mask read = state->closed[s] | state->closed[PULLED + s];
        for (t = 0u; t < 2u; t++) {
            so = so && ((state->closed[t] & read) == 0u || (state->closed[t] & (mm_mask)~read) == 0u);
        }
    }
    return so;
}
#endif

int step(void);

int step(void)
{
    mm_state state = nondet_state();
    mm_state before;
    uint8_t set[32];
    uint8_t any[HEADER + 12u];
    uint8_t i;

    state.table = table;
    state.input = table;
    state.strokes = STROKES;
    state.waiting = WAITING;
    state.leading = LEADING;
#if LEADING
    state.alone = 0u;
#endif
    if (state.behind != NO_CHANGE && nondet_byte() > 1u) {
        state.input = other;
    }
    SUPPOSE(counted(&state));
    for (i = 0u; i < MM_HELD + MM_WAITING; i++) {
        SUPPOSE(named(&state, i));
    }
#if defined(PART_ADVANCE)
    for (i = 0u; i < MM_HELD; i++) {
        SUPPOSE(shifted(&state, i, 0u) && shifted(&state, i, 1u));
    }
    present(&state);
    SUPPOSE(unphantomed(&state));
    SUPPOSE(settled_by(&state, LONGEST) && passed_by(&state));
    before = state;
    (void)mm_advance(&state, nondet_word());
    HOLDS(counted(&state));
#ifdef COMPARES_WHOLE
    /* P3: nothing changes in a close time (passing_time leaves what is left of it); and where something changes, all open
     * times that run begin there. */
    HOLDS(before.close_left == 0u || stands_still(&before, &state));
    for (i = 0u; i < MM_HELD; i++) {
        HOLDS(stands_still(&before, &state) || i >= state.strokes || (state.slots[i].what & OPENED) == 0u ||
              state.slots[i].OPEN_LEFT == 0u || state.slots[i].OPEN_LEFT == time_at(table, AT_OPEN));
    }
#endif
    HOLDS(settled_by(&state, LONGEST));
    /* P8: no layout stands while a stroke has its place; for all else see PART_STANDS. */
    HOLDS(state.table == table || STROKES + LEADING == 0);
    for (i = 0u; i < MM_HELD + MM_WAITING; i++) {
        HOLDS(named(&state, i));
    }
    for (i = 0u; i < MM_HELD; i++) {
        HOLDS(shifted(&state, i, 0u));
        HOLDS(shifted(&state, i, 1u));
    }
    HOLDS(unphantomed(&state));
#elif defined(PART_PADS)
    bool gone;
    for (i = 0u; i < MM_HELD; i++) {
        SUPPOSE(shifted(&state, i, 0u) && shifted(&state, i, 1u));
    }
    SUPPOSE(settled_by(&state, LONGEST) && passed_by(&state));
    plug_pads(&state);
    gone = any_of_pads(&state);
    before = state;
    (void)mm_advance(&state, nondet_word());
    HOLDS(counted(&state));
    for (i = 0u; i < MM_HELD + MM_WAITING; i++) {
        HOLDS(named(&state, i));
    }
    /* A switch that is on is closed; P1: with both pads gone none is, whatever times ran; P8: none while a change is due. */
    for (i = 0u; i < MM_CONTROLLERS; i++) {
        HOLDS(state.behind == WAITING || before.behind == WAITING || (before.pad[i].on & (uint8_t)~state.pad[i].shut) == 0u);
        HOLDS(!gone || state.pad[i].shut == 0u);
        HOLDS(before.behind != WAITING || LEADING != 0 || state.behind != before.behind || before.close_left != 0u ||
              state.pad[i].shut == 0u);
    }
    HOLDS(!gone || state.shut == 0u);
    /* P5: no phantom while pads close anything, but for what they and the modifiers make alone; and P2: what they hold no
     * closed stroke lifts. A call that takes a press or lets a layout stand shows nothing. */
    if (state.shut != 0u && state.strokes == STROKES && state.waiting == WAITING && state.table == table &&
        state.leading == LEADING) {
        mm_state alone = state;
        bool fine;
        begin(&alone, alone.modifiers);
        fine = clean(&alone);
        HOLDS(!fine || clean(&state));
        for (i = 0u; i < STROKES; i++) {
            HOLDS((state.slots[i].what & OPENED) != 0u ||
                  (table[HEADER + 4u + 2u * state.slots[i].is.stroke.demand] &
                   (uint8_t)~table[HEADER + 5u + 2u * state.slots[i].is.stroke.demand] & state.held) == 0u);
        }
    }
#elif defined(PART_FOLLOW)
    /* Any report of a pad, or both are gone, and the call that follows it: whatever strokes lead, are closed or wait. */
    bool gone;
    const bool due = state.leading == 0u && state.close_left == 0u && state.waiting == state.behind;
    plug_pads(&state);
    SUPPOSE(unopposed(&state));
    gone = any_of_pads(&state);
    before = state;
    HOLDS(follow_pads(&state) ==
          (state.pad[0].shut != before.pad[0].shut || state.pad[1].shut != before.pad[1].shut));
    /* Lines and modifiers are those of the switches; opposite ones are never closed together. */
    HOLDS(plugged(&state) && unopposed(&state));
    for (i = 0u; i < MM_CONTROLLERS; i++) {
        /* No switch waits for a key, and one that was only tapped is shown; P1: a pad that is gone has none closed; P8: none
         * is while a layout change is due. */
        HOLDS(due || ((before.pad[i].on | before.pad[i].young) & (uint8_t)~state.pad[i].shut) == 0u);
        HOLDS(!gone || state.pad[i].shut == 0u);
        HOLDS(!due || state.pad[i].shut == 0u);
    }
    HOLDS(counted(&state));
    for (i = 0u; i < MM_HELD + MM_WAITING; i++) {
        HOLDS(named(&state, i));
        HOLDS(state.slots[i].what == before.slots[i].what);
    }
#elif defined(PART_SHOWN)
    /* What the last step of each call shows, from any state of strokes, modifiers and pads. */
    plug_pads(&state);
    SUPPOSE(settled_by(&state, LONGEST) && passed_by(&state));
    before = state;
    HOLDS(sort_out(&state, true, true));
    HOLDS(counted(&state) && plugged(&state) && settled_by(&state, LONGEST));
    HOLDS(state.strokes == STROKES && state.waiting == WAITING && state.leading == LEADING);
    for (i = 0u; i < MM_HELD + MM_WAITING; i++) {
        HOLDS(named(&state, i));
    }
    /* P5: strokes make no phantom, unless pads and modifiers alone make one. */
    begin(&before, before.modifiers);
    HOLDS(!clean(&before) || clean(&state));
    /* What pads and modifiers close is closed, whatever gives way. */
    for (i = 0u; i <= DIRECT_LINES; i++) {
        HOLDS((state.closed[JOINED + i] & (mm_mask)~state.closed[i]) == 0u);
        HOLDS((before.closed[i] & (mm_mask)~state.closed[i]) == 0u);
    }
#elif defined(PART_TIME)
    uint16_t passed = nondet_word();
    uint8_t closed = closed_strokes(&state);
    uint8_t aside = 0u;
    bool up = all_up(&state);
    for (i = 0u; i < STROKES; i++) {
        aside = (uint8_t)(aside + (MM_RESUME && state.waiting != state.behind &&
                                   (state.slots[i].what & (OPENED | ASIDE | RELEASED)) == (OPENED | ASIDE)));
    }
    SUPPOSE(settled_by(&state, LONGEST));
    (void)pass_time(&state, passed);
    HOLDS(counted(&state));
    for (i = 0u; i < MM_HELD + MM_WAITING; i++) {
        HOLDS(named(&state, i));
    }
    /* Nothing closed goes away; what is opened does, and no time is left, once the longest time has passed. */
    HOLDS(settled_by(&state, LONGEST) && passed_by(&state));
    HOLDS(closed_strokes(&state) == closed && state.waiting == WAITING && state.leading == LEADING);
    HOLDS(!up || all_up(&state));
    /* What stands aside stays as long as its key is down and no layout change is due. */
    HOLDS(passed < LONGEST || (state.strokes == closed + aside && settled_by(&state, 0u) && state.recent == 0u));
#elif defined(PART_RELEASED)
    /* P1, its second half: all keys are up and nothing waits. When the close time is over the strokes are opened by the
     * next call; when the lead time is over too, the call after that opens the modifiers. */
    bool opened = true;
    state.live[0] = 0u;
    state.tapped = 0u; /* for these see PART_DRAIN */
    state.alone = 0u;
    state.latches = 0u;
    state.behind = NO_CHANGE;
    state.input = table;
    state.close_left = 0u;
    for (i = 0u; i < STROKES; i++) {
        state.slots[i].what |= RELEASED;
        opened = opened && (state.slots[i].what & OPENED) != 0u;
    }
    opened = opened && state.settle_left == 0u;
    SUPPOSE(passed_by(&state));
    (void)mm_advance(&state, nondet_word());
    for (i = 0u; i < STROKES; i++) {
        HOLDS((state.slots[i].what & OPENED) != 0u);
    }
    HOLDS(state.strokes == STROKES && state.leading == 0u && state.close_left == 0u);
    HOLDS(!opened || state.closed[0] == 0u);
    HOLDS(!opened || state.closed[1] == 0u);
    HOLDS(!opened || state.closed[DIRECT_LINES] == 0u);
#elif defined(PART_DRAIN)
    /* P1 for presses that wait too: with all keys up, and the longest time passed (PART_TIME), each call leaves less to
     * do, until nothing waits and nothing but latches is closed. */
    state.live[0] = 0u;
    for (i = 0u; i < STROKES + WAITING; i++) {
        state.slots[i].what |= RELEASED;
        SUPPOSE(i >= STROKES || (state.slots[i].what & OPENED) == 0u);
    }
    state.close_left = 0u;
    state.settle_left = 0u;
    state.recent = 0u;
    before = state;
    (void)mm_advance(&state, nondet_word());
    HOLDS(all_up(&state));
    HOLDS(settled_by(&state, LONGEST));
    if (left_to_do(&before) == (before.accent != 0u ? 16u : 0u)) {
        HOLDS(left_to_do(&state) == left_to_do(&before));
        begin(&before, before.latches);
        for (i = 0u; i <= DIRECT_LINES; i++) {
            HOLDS(state.closed[i] == before.closed[i]);
        }
    } else {
        HOLDS(left_to_do(&state) < left_to_do(&before));
    }
    HOLDS(state.table == table || state.latches == 0u);
#elif defined(PART_STANDS)
    /* P8: a layout stands only after all presses ahead of it, and then nothing of the one before is left: no stroke, no
     * contact, no latch, one that has closed nothing yet either. So P1 and P8 hold from there on as from the start. */
    SUPPOSE(state.behind != NO_CHANGE);
    state.input = other;
    present(&state);
    before = state;
    (void)mm_advance(&state, nondet_word());
    HOLDS(state.input == other);
    HOLDS(state.table == (state.behind == NO_CHANGE ? other : table));
    if (state.behind == NO_CHANGE) {
        HOLDS(before.behind == WAITING && state.waiting == WAITING);
        HOLDS(state.strokes == 0u && state.leading == 0u && state.close_left == 0u && state.settle_left == 0u);
        HOLDS(state.modifiers == 0u && state.typist == 0u && state.latches == 0u && state.accent == 0u);
        for (i = 0u; i <= DIRECT_LINES; i++) {
            HOLDS(state.closed[i] == 0u);
        }
        HOLDS(mm_idle(&state) == (WAITING == 0 && state.live[0] == 0u && before.tapped == 0u));
    }
#elif defined(PART_START)
    HOLDS(mm_init(&state, table, sizeof table));
    HOLDS(counted(&state) && state.strokes == 0u && state.waiting == 0u && state.behind == NO_CHANGE);
    HOLDS(settled_by(&state, 0u) && state.modifiers == 0u);
    for (i = 0u; i <= DIRECT_LINES; i++) {
        HOLDS(state.closed[i] == 0u);
    }
#elif defined(PART_DAMAGED)
    /* A table of any bytes and any size: no pointer leaves it, and one that is refused leaves nothing closed. */
    for (i = 0u; i < sizeof any; i++) {
        any[i] = nondet_byte();
    }
    if (nondet_byte() > 1u) {
        any[AT_VERSION] = MM_TABLE_VERSION;
    }
    i = nondet_byte() > 1u ? (uint8_t)sizeof any : (uint8_t)(nondet_byte() % (sizeof any + 1u));
    HOLDS(mm_init(&state, any, i) == (state.table != NULL));
    HOLDS(counted(&state) && state.modifiers == 0u);
    HOLDS(state.input == state.table);
    for (i = 0u; i <= DIRECT_LINES; i++) {
        HOLDS(state.closed[i] == 0u);
    }
#elif defined(PART_CHANGE)
    before = state;
    HOLDS(mm_change_layout(&state, other, sizeof other));
    HOLDS(counted(&state) && state.behind == 0u && state.input == other);
    HOLDS(state.live[0] == (state.down[0][MODIFIER_BYTE] & 2u) << 1);
    HOLDS(state.waiting == before.waiting - (before.behind == NO_CHANGE ? 0u : before.behind));
    HOLDS(kept(&before, &state));
#elif defined(PART_PRESS)
    /* What pressing stands for. */
    SUPPOSE(state.waiting < MM_WAITING);
    before = state;
    press_key(&state, nondet_byte(), nondet_byte());
    HOLDS(counted(&state) && state.waiting == before.waiting + 1u);
    HOLDS(state.behind == (before.behind == NO_CHANGE ? NO_CHANGE : before.behind + 1u));
    HOLDS(kept(&before, &state));
#elif defined(PART_INPUT)
    /* Any set keeps the invariant, and closes and opens nothing by itself. */
    before = state;
    for (i = 0u; i < 32u; i++) {
        set[i] = nondet_byte();
    }
    HOLDS(mm_usages(&state, 0u, set) != MM_MALFORMED);
    HOLDS(counted(&state));
    HOLDS(kept(&before, &state));
#else
    for (i = 0u; i < 32u; i++) {
        set[i] = 0u;
    }
#if defined(PART_EMPTY)
    /* P1, its first half: an empty input set releases all. */
    HOLDS(mm_usages(&state, 0u, set) == MM_TAKEN);
    for (i = 0u; i < STROKES + WAITING; i++) {
        HOLDS((state.slots[i].what & (RELEASED | OF_KEYBOARD)) != 0u);
    }
    for (i = 0u; i < MM_SET_BYTES; i++) {
        HOLDS(state.down[0][i] == 0u);
    }
    HOLDS(state.live[0] == 0u);
    HOLDS(state.strokes == STROKES && state.waiting == WAITING);
#elif defined(PART_ROLLED)
    /* P7: keys stay under ErrorRollOver, the modifier byte is followed. */
    before = state;
    for (i = 0u; i < 32u; i++) {
        set[i] = nondet_byte();
    }
    SUPPOSE((set[0] & ROLL_OVER) != 0u);
    i = mm_usages(&state, 0u, set);
    HOLDS(i == MM_ROLLED || i == MM_DROPPED);
    for (i = 0u; i < MODIFIER_BYTE; i++) {
        HOLDS(state.down[0][i] == before.down[0][i]);
    }
    HOLDS(state.down[0][MODIFIER_BYTE] == set[MODIFIER_BYTE]);
    HOLDS(state.live[0] == (set[MODIFIER_BYTE] >> 1 & 1u) * (state.input == table ? 1u : 4u));
    for (i = 0u; i < STROKES + WAITING; i++) {
        HOLDS(before.slots[i].is.stroke.usage >= FIRST_MODIFIER ||
              (before.down[0][before.slots[i].is.stroke.usage >> 3] & bit(before.slots[i].is.stroke.usage)) == 0u ||
              state.slots[i].what == before.slots[i].what);
    }
    HOLDS(counted(&state));
#elif defined(PART_MALFORMED)
    /* P7: a short report or one of no keyboard changes nothing. */
    uint16_t at = (uint16_t)(nondet_word() % sizeof state);
    before = state;
    for (i = 0u; i < 8u; i++) {
        HOLDS(mm_boot_report(&state, nondet_byte(), set, i) == MM_MALFORMED);
    }
    HOLDS(mm_boot_report(&state, MM_KEYBOARDS, set, 8u) == MM_MALFORMED);
    HOLDS(mm_boot_report(&state, 0xFFu, set, 8u) == MM_MALFORMED);
    HOLDS(((const uint8_t *)&state)[at] == ((const uint8_t *)&before)[at]);
#endif
#endif
    return 1;
}
