/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* Firmware that uses every function of the runtime, to weigh it after linking. */
#include "mm_runtime.h"
#include "table.h"

mm_state state;
uint8_t input[32];
volatile uint16_t sink;

int main(void)
{
    uint8_t command = 0u;
    (void)mm_init(&state, table_bytes, sizeof table_bytes);
    for (;;) {
        sink = mm_boot_report(&state, 0u, input, 8u);
        sink = mm_usages(&state, 0u, input);
        mm_disconnected(&state, 0u);
        sink = mm_advance(&state, sink);
        sink = mm_change_layout(&state, table_bytes, sizeof table_bytes);
        sink = mm_select_mask(&state, input[0]);
        sink = mm_direct_mask(&state);
        sink = mm_leds(&state);
        sink = mm_take_command(&state, &command);
        sink = mm_overflows(&state);
        sink = mm_refusals(&state);
        sink = mm_idle(&state);
#if MM_PADS
        mm_controller(&state, input[0], input[1]);
        mm_unplugged(&state, input[0]);
        sink = mm_pulls(&state, input[0]);
        sink = mm_clashes(&state);
#endif
        sink = command;
    }
}
