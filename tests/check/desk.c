/*
 * A keyboard on the runtime: one call gives a set of keys and lets all times pass, and tells what was closed meanwhile.
 */
#include "mm_runtime.h"

#define DESK_MASKS (MM_SELECT_MAX + 1u)

typedef struct desk {
    mm_state state;
    uint16_t now;
    uint16_t command; /* the last one given, 0xFFFF for none */
} desk;

uint16_t desk_bytes(void);
uint16_t desk_masks(void);
bool desk_start(desk *on, const uint8_t *table, uint16_t size);
uint8_t desk_leds(const desk *on);
uint16_t desk_command(const desk *on);
uint16_t desk_give(desk *on, const uint8_t *down, uint16_t *masks, uint16_t most);

uint16_t desk_bytes(void)
{
    return (uint16_t)sizeof(desk);
}

uint16_t desk_masks(void)
{
    return (uint16_t)DESK_MASKS;
}

bool desk_start(desk *on, const uint8_t *table, uint16_t size)
{
    on->now = 0u;
    on->command = 0xFFFFu;
    return mm_init(&on->state, table, size);
}

uint8_t desk_leds(const desk *on)
{
    return mm_leds(&on->state);
}

uint16_t desk_command(const desk *on)
{
    return on->command;
}

/*
 * Gives the usages that are down and plays until nothing changes any more. After each call of mm_advance the masks of
 * the select lines and of the direct lines are noted, `most` times at most. Returns how often.
 */
uint16_t desk_give(desk *on, const uint8_t *down, uint16_t *masks, uint16_t most)
{
    uint16_t count = 0u;
    uint16_t wait = 0u;

    (void)mm_usages(&on->state, 0u, down);
    while (wait != MM_NEVER && count < most) {
        uint8_t command;
        uint8_t select;

        on->now = (uint16_t)(on->now + wait);
        wait = mm_advance(&on->state, on->now);
        if (mm_take_command(&on->state, &command)) {
            on->command = command;
        }
        for (select = 0u; select < MM_SELECT_MAX; select++) {
            masks[count * DESK_MASKS + select] = mm_select_mask(&on->state, select);
        }
        masks[count * DESK_MASKS + MM_SELECT_MAX] = mm_direct_mask(&on->state);
        count++;
    }
    return count;
}
