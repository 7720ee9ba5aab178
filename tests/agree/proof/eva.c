/* SPDX-License-Identifier: MIT */
/* For Frama-C Eva: any number of inputs of any content, at any times, with the layouts of tables.h. */
#include "__fc_builtin.h"

#include "mm_runtime.h"
#include "tables.h"

#define TABLES (sizeof all_sizes / sizeof all_sizes[0])

static mm_state state;
static uint8_t bytes[32];

static void any_bytes(unsigned count)
{
    unsigned i;

    for (i = 0; i < count; i++) {
        bytes[i] = (uint8_t)Frama_C_interval(0, 255);
    }
}

static uint8_t any_byte(void)
{
    return (uint8_t)Frama_C_interval(0, 255);
}

int main(void)
{
    int first = Frama_C_interval(0, TABLES - 1);
    uint8_t command = 0;

    (void)mm_init(&state, all_tables[first], all_sizes[first]);
    while (Frama_C_nondet(0, 1)) {
        int other = Frama_C_interval(0, TABLES - 1);

        switch (Frama_C_interval(0, 5)) {
        case 0:
            any_bytes(8);
            (void)mm_boot_report(&state, any_byte(), bytes, any_byte() < 8 ? 7 : 8);
            break;
        case 1:
            any_bytes(32);
            (void)mm_usages(&state, any_byte(), bytes);
            break;
        case 2:
            mm_disconnected(&state, any_byte());
            break;
        case 3:
            (void)mm_change_layout(&state, all_tables[other], all_sizes[other]);
            break;
        case 4:
            (void)mm_take_command(&state, &command);
            (void)mm_select_mask(&state, any_byte());
            (void)mm_direct_mask(&state);
            (void)mm_leds(&state);
            (void)mm_overflows(&state);
            (void)mm_refusals(&state);
            (void)mm_idle(&state);
            break;
        default:
            (void)mm_advance(&state, (uint16_t)Frama_C_interval(0, 0xFFFF));
            break;
        }
    }
    return 0;
}
