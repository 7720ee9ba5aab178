/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * One call of the runtime from any state under the invariant, for Frama-C Eva: no undefined behaviour in it means none
 * in any number of calls. The table is one shipped layout, TABLE in TABLE_FILE, without chords; nothing else of the
 * state is fixed. That the invariant holds after mm_usages is asserted here, for the rest see steps.c.
 *
 * MM_HELD and MM_WAITING are small, as each number of strokes and presses is a case of its own here. CALL names what is
 * called. mm_advance is pass_time and the rest: pass_time is proven by itself (TIME). The rest (ADVANCE) runs with a
 * step of no time, which leaves as it is each state that pass_time can leave: in these an opened stroke has an open
 * time, or it stands aside while something waits.
 */
#include "__fc_builtin.h"

#include "mm_runtime.c"
#include TABLE_FILE

#define ADVANCE 0
#define TIME 1
#define USAGES_SET 2
#define REPORT 3
#define LAYOUT 4

static mm_state state;
static uint8_t set[32];

static uint8_t byte_to(uint8_t most)
{
    return (uint8_t)Frama_C_interval(0, most);
}

static uint16_t any_time(void)
{
    return Frama_C_unsigned_short_interval(0, 0xFFFF);
}

int main(void)
{
    uint8_t strokes, waiting, leading, i;
    uint8_t command;

    /* Cases stay apart within one function only: hence no function that makes a state. */
    for (strokes = 0; strokes <= MM_HELD; strokes++) {
        for (waiting = 0; waiting <= MM_WAITING + 1 && strokes + waiting <= MM_HELD + MM_WAITING; waiting++) {
            for (leading = 0; leading <= 1; leading++) {
                if (leading != 0 ? waiting == 0 || strokes == MM_HELD : waiting > MM_WAITING) {
                    continue;
                }
                Frama_C_make_unknown((char *)&state, sizeof state);
                state.table = TABLE;
                state.input = TABLE;
                state.strokes = strokes;
                state.waiting = waiting;
                state.leading = leading;
                if (leading != 0) {
                    state.alone = 0;
                }
                state.now = 0;
                state.behind = NO_CHANGE;
                for (i = 0; i <= waiting - leading; i++) {
                    if (Frama_C_interval(0, 1)) {
                        state.behind = i;
                        break;
                    }
                }
                for (i = 0; i < strokes + leading; i++) {
                    state.slots[i].what = byte_to(255) & (uint8_t)~CHORD;
                    state.slots[i].is.stroke.demand = byte_to((uint8_t)(TABLE[AT_DEMANDS] - 1));
                    if (i < strokes && Frama_C_interval(0, 1)) {
                        state.slots[i].what |= OPENED;
#if CALL == ADVANCE
                        state.slots[i].OPEN_LEFT = Frama_C_unsigned_short_interval(1, 0xFFFF);
                        if (MM_RESUME && waiting != state.behind && Frama_C_interval(0, 1)) {
                            state.slots[i].what = (uint8_t)((state.slots[i].what | ASIDE) & (uint8_t)~RELEASED);
                            state.slots[i].OPEN_LEFT = 0;
                        }
#endif
                    } else {
                        state.slots[i].what &= (uint8_t)~(OPENED | ASIDE);
                    }
                }
#if CALL == ADVANCE
                (void)mm_advance(&state, 0);
#elif CALL == TIME
                (void)pass_time(&state, any_time());
#elif CALL == USAGES_SET
                Frama_C_make_unknown((char *)set, sizeof set);
                (void)mm_usages(&state, byte_to(255), set);
                //@ assert state.strokes == strokes && state.leading == leading;
                //@ assert waiting <= state.waiting;
                //@ assert state.waiting <= MM_WAITING || state.waiting == waiting;
                for (i = 0; i < strokes + leading; i++) {
                    if ((state.slots[i].what & OPENED) == 0) {
                        //@ assert state.slots[i].is.stroke.demand < TABLE[5];
                        //@ assert (state.slots[i].what & 2) == 0;
                    }
                }
#elif CALL == REPORT
                Frama_C_make_unknown((char *)set, sizeof set);
                (void)mm_boot_report(&state, MM_KEYBOARDS, set, byte_to(255));
#elif CALL == LAYOUT
                (void)mm_change_layout(&state, TABLE, sizeof TABLE);
                (void)mm_leds(&state);
                (void)mm_idle(&state);
                (void)mm_take_command(&state, &command);
                (void)mm_select_mask(&state, byte_to(255));
                (void)mm_direct_mask(&state);
#endif
            }
        }
    }
    return 0;
}
