/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* What ctypes cannot see by itself, and what would take it too many calls. */
#include "mm_runtime.h"

uint16_t mm_test_state_size(void);
void mm_test_masks(const mm_state *state, uint16_t masks[17]);
uint8_t mm_test_waiting(const mm_state *state);
bool mm_test_init(mm_state *state, const uint8_t *table, uint16_t size);

uint16_t mm_test_state_size(void)
{
    return (uint16_t)sizeof(mm_state);
}

void mm_test_masks(const mm_state *state, uint16_t masks[17])
{
    uint8_t i;
    for (i = 0u; i < 16u; i++) {
        masks[i] = mm_select_mask(state, i);
    }
    masks[16] = mm_direct_mask(state);
}

uint8_t mm_test_waiting(const mm_state *state)
{
    return (uint8_t)state->waiting;
}

bool mm_test_init(mm_state *state, const uint8_t *table, uint16_t size)
{
    return mm_init(state, table, size);
}
