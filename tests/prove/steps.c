/* SPDX-License-Identifier: MIT */
/*
 * One call of the runtime from any state under the invariant, for CBMC: what holds after it holds after any number of
 * calls, for mm_init gives an empty state.
 *
 * Bounds: one keyboard, MM_HELD 2, MM_WAITING 2, a matrix of 2x2 with one direct line, one table below. Times, demands,
 * kinds, usages, modifiers, latches and counters in the state are any values. STROKES, WAITING and LEADING are fixed by
 * the caller, who goes through all of them. PART names what is called.
 *
 * With SAMPLED, step() is compiled for the host instead and called with states drawn at random (sampled.h).
 *
 * `copied.c` is the runtime in which mm_advance calls passing_time in place of pass_time: any state may come out of
 * pass_time, so what follows is proven from any state, and pass_time by itself (PART_TIME).
 */
#include <stdint.h>

#include "mm_runtime.h"

#ifdef PART_DRAIN
#define passing_time pass_time
#else
static uint16_t passing_time(mm_state *state, uint16_t step);
#endif

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

static const uint8_t table[] = {
    MM_TABLE_VERSION, 2, 2, 1, 2, 3, 0, 1, 4, FLAG_GUARD, LIMIT, 3, 0, 2, 0, 1, 0,
    CROSSPOINT, 0x00, DIRECT, 0,         /* modifier keys */
    0, 0, 3, 1, 1, 0,                    /* demands: nothing, hold the first and lift the second, lift the first */
    CROSSPOINT, 0x10, DIRECT, 1, 0xFF, 0, 0xFF, 0, /* a chord */
    15, 0, MODIFIER, 1, 0xE1, 1,
    1, 1, CROSSPOINT, 2, 4, 0x11, 5, 0x01,
    2, 2, CROSSPOINT, 2, 4, 0x10, 5, 0x11,
    15, 0, CHORD, 1, 6, 0,
};

#ifndef PART_DRAIN
/* The slots are any already; which opened strokes hold others up is any too. */
static uint16_t passing_time(mm_state *state, uint16_t step)
{
    (void)step;
    state->recent = nondet_byte();
    return nondet_word();
}
#endif

/* Counts belong together. */
static bool counted(const mm_state *state)
{
    return state->leading <= 1u && state->strokes + state->leading <= MM_HELD &&
           state->strokes + state->waiting <= MM_HELD + MM_WAITING && state->leading <= state->waiting &&
           state->waiting <= MM_WAITING + state->leading &&
           (state->behind == NO_CHANGE || state->behind + state->leading <= state->waiting);
}

/* A stroke that is led or closed names a demand and a contact or chord of the table. */
static bool named(const mm_state *state, uint8_t number)
{
    const mm_slot *slot = &state->slots[number];
    if (number >= state->strokes + state->leading || (number < state->strokes && (slot->what & OPENED) != 0u)) {
        return true;
    }
    return (slot->what & OPENED) == 0u && slot->is.stroke.demand < table[AT_DEMANDS] &&
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

/* P5: three or four corners are closed by none but the modifiers (here one crosspoint): so at most two ever are. */
static bool unphantomed(const mm_state *state)
{
    uint8_t corners = (uint8_t)((state->closed[0] & 1u) + (state->closed[0] >> 1 & 1u) + (state->closed[1] & 1u) +
                                (state->closed[1] >> 1 & 1u));
    return corners <= 2u;
}

int step(void);

int step(void)
{
    mm_state state = nondet_state();
#if defined(PART_EMPTY) || defined(PART_ROLLED) || defined(PART_MALFORMED)
    uint8_t set[32];
#endif
#if defined(PART_ROLLED) || defined(PART_MALFORMED)
    mm_state before;
#endif
    uint8_t i;

    state.table = table;
    state.input = table;
    state.strokes = STROKES;
    state.waiting = WAITING;
    state.leading = LEADING;
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
    (void)mm_advance(&state, nondet_word());
    HOLDS(counted(&state));
    for (i = 0u; i < MM_HELD + MM_WAITING; i++) {
        HOLDS(named(&state, i));
    }
    for (i = 0u; i < MM_HELD; i++) {
        HOLDS(shifted(&state, i, 0u));
        HOLDS(shifted(&state, i, 1u));
    }
    HOLDS(unphantomed(&state));
#elif defined(PART_TIME)
    (void)pass_time(&state, nondet_word());
    HOLDS(counted(&state));
    for (i = 0u; i < MM_HELD + MM_WAITING; i++) {
        HOLDS(named(&state, i));
    }
#elif defined(PART_RELEASED)
    /* P1, its second half: all keys are up and nothing waits. When the close time is over the strokes are opened by the
     * next call; when the lead time is over too, the call after that opens the modifiers. */
    bool opened = true;
    state.live[0] = 0u;
    state.latches = 0u;
    state.behind = NO_CHANGE;
    state.close_left = 0u;
    for (i = 0u; i < STROKES; i++) {
        state.slots[i].what |= RELEASED;
        opened = opened && (state.slots[i].what & OPENED) != 0u;
    }
    opened = opened && state.settle_left == 0u;
    (void)mm_advance(&state, nondet_word());
    for (i = 0u; i < STROKES; i++) {
        HOLDS((state.slots[i].what & OPENED) != 0u);
    }
    HOLDS(state.strokes == STROKES && state.leading == 0u && state.close_left == 0u);
    HOLDS(!opened || state.closed[0] == 0u);
    HOLDS(!opened || state.closed[1] == 0u);
    HOLDS(!opened || state.closed[DIRECT_LINES] == 0u);
#elif defined(PART_DRAIN)
    /* P1, as a chain, for presses that wait too: each call comes when all times have passed. */
    state.live[0] = 0u;
    state.latches = 0u;
    state.behind = NO_CHANGE;
    for (i = 0u; i < STROKES + WAITING; i++) {
        state.slots[i].what |= RELEASED;
    }
    for (i = 0u; i < 30u; i++) {
        (void)mm_advance(&state, (uint16_t)(state.now + HALF_RANGE - 1u));
    }
    HOLDS(state.waiting == 0u && state.strokes == 0u);
    HOLDS(state.latches != 0u || state.closed[0] == 0u);
    HOLDS(state.latches != 0u || state.closed[1] == 0u);
    HOLDS(state.latches != 0u || state.closed[DIRECT_LINES] == 0u);
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
    HOLDS(state.live[0] == (set[MODIFIER_BYTE] >> 1 & 1u));
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
