/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* A firmware's part between pads and the runtime, as docs/pads.md has it, for one layout. */
#include "steered.h"

static mm_state state;
static mm_pads pads;

bool test_start(void);
uint8_t test_connect(const uint8_t *table, uint16_t size);
void test_report(uint8_t place, const uint8_t *report, uint16_t length);
void test_gone(uint8_t place);
void test_keys(const uint8_t *down);
uint16_t test_advance(uint16_t now);
uint16_t test_select(uint8_t line);
uint16_t test_pulls(uint8_t line);
int16_t test_command(void);

bool test_start(void)
{
    return mm_init(&state, mm_steered, MM_STEERED_SIZE) && mm_pads_init(&pads, mm_pad_map_steered, MM_PAD_MAP_STEERED_SIZE);
}

uint8_t test_connect(const uint8_t *table, uint16_t size)
{
    return mm_pads_connect(&pads, table, size, true);
}

static void hand_out(void)
{
    uint8_t down[32] = {0};
    uint8_t i, controller;
    for (i = 0; i < mm_pads_controllers(&pads); i++) {
        uint8_t mask = mm_pads_switches(&pads, i, &controller);
        mm_controller(&state, controller, mask);
    }
    mm_pads_usages(&pads, down);
    (void)mm_usages(&state, MM_KEYBOARDS - 1, down);
}

void test_report(uint8_t place, const uint8_t *report, uint16_t length)
{
    if (mm_pad_report(&pads.pad[place], report, length) == MM_PAD_TAKEN) {
        hand_out();
    }
}

void test_gone(uint8_t place)
{
    uint8_t which = pads.swapped && place < 2 ? (uint8_t)(1 - place) : place;
    uint8_t controller;
    mm_pads_disconnected(&pads, place);
    if (which < mm_pads_controllers(&pads)) {
        (void)mm_pads_switches(&pads, which, &controller);
        mm_unplugged(&state, controller);
    }
    hand_out();
}

void test_keys(const uint8_t *down)
{
    (void)mm_usages(&state, 0, down);
}

uint16_t test_advance(uint16_t now)
{
    uint16_t wait = mm_advance(&state, now);
    while (wait == 0) {
        wait = mm_advance(&state, now);
    }
    return wait;
}

uint16_t test_select(uint8_t line)
{
    return mm_select_mask(&state, line);
}

uint16_t test_pulls(uint8_t line)
{
    return mm_pulls(&state, line);
}

int16_t test_command(void)
{
    uint8_t number;
    return mm_take_command(&state, &number) ? (int16_t)number : (int16_t)-1;
}
