/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Plays each of some keys under every set of some held keys, and keeps what differs: the closed contacts of a moment
 * (a mask) and what becomes of a press (a record) have numbers, equal ones the same. harness.py says what each means.
 *
 * A press is played so: the held keys go down in one report, and time passes until nothing will change; then the key
 * goes down as well, and time passes again; then it is released, and time passes for the last time.
 */
#include "mm_runtime.h"

#include <stdlib.h>
#include <string.h>

#define FIRST_MODIFIER 0xE0u
#define MODIFIERS 8u
#define MASKS 17u         /* of the select lines and, last, of the direct lines */
#define MOST_MOMENTS 64u  /* of one press; the rest of a press that finds no end is cut off */
#define MOST_CALLS 4096u  /* of mm_advance; a press that asks for more finds no end */
#define NO_COMMAND 0xFFFFu
#define NOT_PLAYED 0u /* the number of no record */
#define RECENT 4u     /* what is closed comes back soon: so many numbers are at hand */

typedef struct press_mask {
    uint16_t lines[MASKS];
} press_mask;

typedef struct press_record {
    uint32_t first;    /* where its moments begin in the list of all */
    uint32_t moments;  /* from before the press until nothing changes any more, each differs from the one before */
    uint32_t released; /* the mask after the release */
    uint16_t refusals;
    uint16_t overflows;
    uint16_t command;
    uint8_t latches;
    uint8_t locks;
    uint8_t accent;
    uint8_t endless;
} press_record;

/* Numbers by content: a slot is 0 or a number + 1. */
typedef struct press_index {
    uint32_t *slots;
    uint32_t size; /* a power of two */
} press_index;

/* What the runtime keeps as closed, and the number of what it then tells firmware. */
typedef struct press_recent {
    mm_mask closed[MM_SELECT_MAX + 1];
    uint32_t number;
} press_recent;

typedef struct press_player {
    mm_state start; /* before the held keys go down */
    bool settled;   /* what led there came to an end */
    press_mask *masks;
    uint32_t mask_count, mask_room;
    press_index mask_index;
    press_record *records;
    uint32_t record_count, record_room;
    press_index record_index;
    uint32_t *moments;
    uint32_t moment_count, moment_room;
    press_recent recent[RECENT];
    uint32_t recents; /* how many there were, of which the last few are kept */
} press_player;

/* The moments of one press while it is played. */
typedef struct press_story {
    mm_mask closed[MM_SELECT_MAX + 1];
    uint32_t moments[MOST_MOMENTS];
    uint32_t count;
} press_story;

press_player *press_new(const uint8_t *table, uint16_t size);
void press_free(press_player *player);
bool press_start(press_player *player, const uint8_t *table, uint16_t size, const uint8_t *tapped, uint8_t taps);
uint8_t press_tap(press_player *player, const uint8_t *held, uint8_t count, uint8_t usage);
void press_rows(press_player *player, const uint8_t *usages, uint32_t count, const uint8_t *further,
               uint8_t further_count, uint32_t *ids);
uint32_t press_mask_count(const press_player *player);
uint32_t press_record_count(const press_player *player);
uint32_t press_moment_count(const press_player *player);
const press_mask *press_masks(const press_player *player);
const press_record *press_records(const press_player *player);
const uint32_t *press_moments(const press_player *player);

/* ---- numbers for what is equal ---- */

/* FNV-1a, in whole words: offset and prime as its authors give them for 32 bits. */
static uint32_t mixed(uint32_t hash, uint32_t word)
{
    return (hash ^ word) * 16777619u;
}

static uint32_t hash_of_mask(const press_mask *mask)
{
    uint32_t hash = 2166136261u;
    uint32_t i;
    for (i = 0u; i < MASKS; i++) {
        hash = mixed(hash, mask->lines[i]);
    }
    return hash ^ hash >> 15;
}

static uint32_t hash_of_record(const press_record *record, const uint32_t *moments)
{
    uint32_t hash = 2166136261u;
    uint32_t i;
    for (i = 0u; i < record->moments; i++) {
        hash = mixed(hash, moments[i]);
    }
    hash = mixed(hash, record->released);
    hash = mixed(hash, (uint32_t)record->refusals << 16 | record->overflows);
    hash = mixed(hash, (uint32_t)record->command << 16 | (uint32_t)record->latches << 8 | record->locks);
    hash = mixed(hash, (uint32_t)record->accent << 1 | record->endless);
    return hash ^ hash >> 15;
}

static bool same_record(const press_record *one, const press_record *other)
{
    return one->moments == other->moments && one->released == other->released && one->refusals == other->refusals &&
           one->overflows == other->overflows && one->command == other->command && one->latches == other->latches &&
           one->locks == other->locks && one->accent == other->accent && one->endless == other->endless;
}

/* Room for `count` more of `each` bytes, or null; `room` grows with it. */
static void *with_room(void *list, uint32_t *room, uint32_t needed, size_t each)
{
    void *larger = list;
    if (needed > *room) {
        *room = needed * 2u;
        larger = realloc(list, *room * each);
        if (larger == NULL) {
            abort();
        }
    }
    return larger;
}

/* An index twice as large as it must be, empty; its owner puts the numbers in again. True: it is new. */
static bool index_grown(press_index *index, uint32_t count)
{
    if (index->size > count * 2u) {
        return false;
    }
    index->size = index->size == 0u ? 1024u : index->size * 4u;
    free(index->slots);
    index->slots = calloc(index->size, sizeof *index->slots);
    if (index->slots == NULL) {
        abort();
    }
    return true;
}

static uint32_t *free_slot(const press_index *index, uint32_t hash)
{
    uint32_t at = hash & (index->size - 1u);
    while (index->slots[at] != 0u) {
        at = (at + 1u) & (index->size - 1u);
    }
    return &index->slots[at];
}

static uint32_t number_of_mask(press_player *player, const press_mask *mask)
{
    press_index *index = &player->mask_index;
    uint32_t hash = hash_of_mask(mask);
    uint32_t at, i;
    if (index_grown(index, player->mask_count)) {
        for (i = 0u; i < player->mask_count; i++) {
            *free_slot(index, hash_of_mask(&player->masks[i])) = i + 1u;
        }
    }
    for (at = hash & (index->size - 1u); index->slots[at] != 0u; at = (at + 1u) & (index->size - 1u)) {
        if (memcmp(&player->masks[index->slots[at] - 1u], mask, sizeof *mask) == 0) {
            return index->slots[at] - 1u;
        }
    }
    player->masks = with_room(player->masks, &player->mask_room, player->mask_count + 1u, sizeof *mask);
    player->masks[player->mask_count] = *mask;
    index->slots[at] = ++player->mask_count;
    return player->mask_count - 1u;
}

static uint32_t number_of_record(press_player *player, press_record *record, const uint32_t *moments)
{
    press_index *index = &player->record_index;
    uint32_t hash = hash_of_record(record, moments);
    size_t bytes = record->moments * sizeof *moments;
    uint32_t at, i;
    if (index_grown(index, player->record_count)) {
        for (i = 0u; i < player->record_count; i++) {
            const press_record *known = &player->records[i];
            *free_slot(index, hash_of_record(known, player->moments + known->first)) = i + 1u;
        }
    }
    for (at = hash & (index->size - 1u); index->slots[at] != 0u; at = (at + 1u) & (index->size - 1u)) {
        const press_record *known = &player->records[index->slots[at] - 1u];
        if (same_record(known, record) && memcmp(player->moments + known->first, moments, bytes) == 0) {
            return index->slots[at] - 1u;
        }
    }
    record->first = player->moment_count;
    player->moments =
        with_room(player->moments, &player->moment_room, player->moment_count + record->moments + 1u, sizeof *moments);
    memcpy(player->moments + player->moment_count, moments, bytes);
    player->moment_count += record->moments;
    player->records = with_room(player->records, &player->record_room, player->record_count + 1u, sizeof *record);
    player->records[player->record_count] = *record;
    index->slots[at] = ++player->record_count;
    return player->record_count - 1u;
}

/* ---- playing ---- */

/* The number of what is closed now, as firmware reads it. */
static uint32_t shown(press_player *player, const mm_state *state)
{
    press_mask mask;
    press_recent *recent;
    uint8_t i;
    for (i = 0u; i < RECENT && i < player->recents; i++) {
        recent = &player->recent[(player->recents - 1u - i) % RECENT];
        if (memcmp(recent->closed, state->closed, sizeof recent->closed) == 0) {
            return recent->number;
        }
    }
    for (i = 0u; i < MASKS - 1u; i++) {
        mask.lines[i] = mm_select_mask(state, i);
    }
    mask.lines[MASKS - 1u] = mm_direct_mask(state);
    recent = &player->recent[player->recents++ % RECENT];
    memcpy(recent->closed, state->closed, sizeof recent->closed);
    recent->number = number_of_mask(player, &mask);
    return recent->number;
}

static void note(press_player *player, press_story *story, const mm_state *state)
{
    if ((story->count == 0u || memcmp(story->closed, state->closed, sizeof story->closed) != 0) &&
        story->count < MOST_MOMENTS) {
        memcpy(story->closed, state->closed, sizeof story->closed);
        story->moments[story->count++] = shown(player, state);
    }
}

/* Lets time pass, by just what mm_advance asks for, until nothing will change; notes each change if there is a story.
 * False: there is no end. */
static bool quiet(press_player *player, mm_state *state, press_story *story)
{
    uint16_t wait = 0u;
    unsigned calls;
    for (calls = 0u; calls < MOST_CALLS; calls++) {
        wait = mm_advance(state, (uint16_t)(state->now + wait));
        if (story != NULL) {
            note(player, story, state);
        }
        if (wait == MM_NEVER) {
            return true;
        }
    }
    return false;
}

static void put(uint8_t down[32], uint8_t usage, bool is_down)
{
    uint8_t bit = (uint8_t)(1u << (usage & 7u));
    down[usage >> 3] = (uint8_t)(is_down ? down[usage >> 3] | bit : down[usage >> 3] & ~bit);
}

static bool report(press_player *player, mm_state *state, const uint8_t down[32], press_story *story)
{
    (void)mm_usages(state, 0u, down);
    return quiet(player, state, story);
}

/* A command that was handed over before the press is not the press's. */
static uint16_t command_of(mm_state *state)
{
    uint8_t command;
    return mm_take_command(state, &command) ? command : NO_COMMAND;
}

/* One press: `held` with what is down already, and the usage that joins it. */
static uint32_t play(press_player *player, const mm_state *held, uint8_t down[32], uint8_t usage, bool settled)
{
    mm_state state = *held;
    press_story story;
    press_record record;
    bool ends = settled;
    story.count = 0u;
    note(player, &story, &state);
    put(down, usage, true);
    ends = report(player, &state, down, &story) && ends;
    record.first = 0u;
    record.moments = story.count;
    record.refusals = (uint16_t)(mm_refusals(&state) - mm_refusals(held));
    record.overflows = (uint16_t)(mm_overflows(&state) - mm_overflows(held));
    record.command = command_of(&state);
    record.latches = state.latches;
    record.locks = state.locks;
    record.accent = state.accent;
    put(down, usage, false);
    ends = report(player, &state, down, NULL) && ends;
    record.released = shown(player, &state);
    record.endless = !ends;
    return number_of_record(player, &record, story.moments);
}

/* ---- for harness.py ---- */

press_player *press_new(const uint8_t *table, uint16_t size)
{
    static const uint32_t none[1] = {0u};
    press_player *player = calloc(1u, sizeof *player);
    press_record record;
    if (player == NULL || !mm_init(&player->start, table, size)) {
        free(player);
        return NULL;
    }
    /* Number 0 is of what was not played, which no press is: it has no moment. */
    memset(&record, 0, sizeof record);
    record.command = NO_COMMAND;
    (void)shown(player, &player->start);
    (void)number_of_record(player, &record, none);
    return player;
}

void press_free(press_player *player)
{
    free(player->masks);
    free(player->mask_index.slots);
    free(player->records);
    free(player->record_index.slots);
    free(player->moments);
    free(player);
}

/* Starts anew, then presses and releases each of the keys that are to be `tapped` before. False: a wrong table. */
bool press_start(press_player *player, const uint8_t *table, uint16_t size, const uint8_t *tapped, uint8_t taps)
{
    uint8_t i;
    if (!mm_init(&player->start, table, size)) {
        return false;
    }
    player->settled = quiet(player, &player->start, NULL);
    for (i = 0u; i < taps; i++) {
        (void)press_tap(player, NULL, 0u, tapped[i]);
    }
    return true;
}

/* Presses and releases a key with some held, all before what is played: the dead key that is pending then. */
uint8_t press_tap(press_player *player, const uint8_t *held, uint8_t count, uint8_t usage)
{
    uint8_t down[32];
    mm_state *state = &player->start;
    bool ends = player->settled;
    uint8_t i;
    memset(down, 0, sizeof down);
    for (i = 0u; i < count; i++) {
        put(down, held[i], true);
    }
    if (count > 0u) {
        ends = report(player, state, down, NULL) && ends;
    }
    put(down, usage, true);
    ends = report(player, state, down, NULL) && ends;
    put(down, usage, false);
    ends = report(player, state, down, NULL) && ends;
    if (count > 0u) {
        memset(down, 0, sizeof down);
        ends = report(player, state, down, NULL) && ends;
    }
    (void)command_of(state);
    player->settled = ends;
    return state->accent;
}

/* Plays every usage under every set: bit n of a set is modifier key n, the bits above are the `further` keys. The number
 * of a record is at ids[number of the usage * sets + set]; NOT_PLAYED where the usage itself is held. */
void press_rows(press_player *player, const uint8_t *usages, uint32_t count, const uint8_t *further,
               uint8_t further_count, uint32_t *ids)
{
    uint32_t sets = 1u << (MODIFIERS + further_count);
    uint32_t set, i;
    for (set = 0u; set < sets; set++) {
        uint8_t down[32];
        mm_state held = player->start;
        bool settled = player->settled;
        memset(down, 0, sizeof down);
        down[FIRST_MODIFIER >> 3] = (uint8_t)set;
        for (i = 0u; i < further_count; i++) {
            if ((set >> (MODIFIERS + i) & 1u) != 0u) {
                put(down, further[i], true);
            }
        }
        if (set != 0u) {
            settled = report(player, &held, down, NULL) && settled;
        }
        (void)command_of(&held);
        for (i = 0u; i < count; i++) {
            bool is_held = (down[usages[i] >> 3] & 1u << (usages[i] & 7u)) != 0u;
            ids[i * sets + set] = is_held ? NOT_PLAYED : play(player, &held, down, usages[i], settled);
        }
    }
}

uint32_t press_mask_count(const press_player *player)
{
    return player->mask_count;
}

uint32_t press_record_count(const press_player *player)
{
    return player->record_count;
}

uint32_t press_moment_count(const press_player *player)
{
    return player->moment_count;
}

const press_mask *press_masks(const press_player *player)
{
    return player->masks;
}

const press_record *press_records(const press_player *player)
{
    return player->records;
}

const uint32_t *press_moments(const press_player *player)
{
    return player->moments;
}
