/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Contacts that follow the select lines (`contacts: follows-select`): the copy of the masks for the interrupt.
 *
 * The loop calls mm_follow_copy after each mm_advance. The interrupt of the select lines calls mm_follow_sense with the
 * lines that are strobed now, and pulls low the sense lines that it returns. The caller owns one mm_follow for each
 * machine; all zero, as a static variable is, it pulls nothing low.
 *
 * NO TORN LINE. There are two sets of masks. The loop writes the set that is not in use, then switches to it by writing
 * one byte. The interrupt sees either all lines from before or all lines from after, and no interrupt is ever turned off.
 * All contacts change at once, so no contact closes before another one opens. This is true on one core: the loop must
 * not interrupt the interrupt, and the interrupt must not run on another core.
 *
 * A LINE THAT STAYS STROBED. A machine can strobe lines once and read many times. No line changes then, and no interrupt
 * comes. So after the copy the loop, too, must pull what the strobed lines ask for; docs/firmware.md has the code.
 *
 * DIRECT LINES are not scanned by a select line, so they are not here. The loop pulls the lines of mm_direct_mask low
 * for as long as they are closed. If they share a port with sense lines, write them with instructions that change one
 * bit, or with interrupts off.
 */
#ifndef MM_FOLLOW_H
#define MM_FOLLOW_H

#include "mm_runtime.h"

#if defined(__GNUC__) /* gcc and clang take `inline` for a hint; a call costs the interrupt all registers of a call */
#define MM_FOLLOW_INLINE static inline __attribute__((always_inline))
#else
#define MM_FOLLOW_INLINE static inline
#endif

#ifdef __cplusplus
extern "C" {
#endif

/* Select lines: bit n is select line n. */
#if MM_SELECT_MAX <= 8
typedef uint8_t mm_lines;
#else
typedef uint16_t mm_lines;
#endif

/* The masks in bytes, for parts that read one byte at a time: the low byte of each line, then the high byte of each. */
#if MM_SENSE_MAX <= 8
#define MM_FOLLOW_BYTES MM_SELECT_MAX
#else
#define MM_FOLLOW_BYTES (2 * MM_SELECT_MAX)
#endif

/* Owned by the caller; only the two functions use its members. */
typedef struct mm_follow {
    volatile uint8_t masks[2 * MM_FOLLOW_BYTES];
    volatile uint8_t shown; /* where the set begins that the interrupt reads: 0 or MM_FOLLOW_BYTES */
} mm_follow;

/* Copies the masks of the state. Call it from the loop only, after mm_advance. */
static inline void mm_follow_copy(mm_follow *follow, const mm_state *state)
{
    uint8_t at = follow->shown == 0u ? (uint8_t)MM_FOLLOW_BYTES : 0u;
    volatile uint8_t *set = follow->masks + at;
    uint8_t select;
    for (select = 0u; select < MM_SELECT_MAX; select++) {
        uint16_t mask = mm_select_mask(state, select);
        set[select] = (uint8_t)(mask & 0xFFu);
#if MM_SENSE_MAX > 8
        set[MM_SELECT_MAX + select] = (uint8_t)(mask >> 8);
#endif
    }
    follow->shown = at;
}

#if MM_SENSE_MAX <= 8
#define MM_FOLLOW_LINE(byte, bit, line) \
    if (((byte) & (1u << (bit))) != 0u) { \
        low = (uint8_t)(low | set[line]); \
    }
#else
#define MM_FOLLOW_LINE(byte, bit, line) \
    if (((byte) & (1u << (bit))) != 0u) { \
        low = (uint8_t)(low | set[line]); \
        high = (uint8_t)(high | set[MM_SELECT_MAX + (line)]); \
    }
#endif

/*
 * The sense lines to pull low while the select lines in `strobed` are strobed: bit n is sense line n. Bits of `strobed`
 * from MM_SELECT_MAX on are ignored. It takes the same steps for any masks, and has no loop.
 */
MM_FOLLOW_INLINE mm_mask mm_follow_sense(const mm_follow *follow, mm_lines strobed)
{
    const volatile uint8_t *set = follow->masks + follow->shown;
    uint8_t lines = (uint8_t)(strobed & 0xFFu);
    uint8_t low = 0u;
#if MM_SENSE_MAX > 8
    uint8_t high = 0u;
#endif
    MM_FOLLOW_LINE(lines, 0, 0)
#if MM_SELECT_MAX > 1
    MM_FOLLOW_LINE(lines, 1, 1)
#endif
#if MM_SELECT_MAX > 2
    MM_FOLLOW_LINE(lines, 2, 2)
#endif
#if MM_SELECT_MAX > 3
    MM_FOLLOW_LINE(lines, 3, 3)
#endif
#if MM_SELECT_MAX > 4
    MM_FOLLOW_LINE(lines, 4, 4)
#endif
#if MM_SELECT_MAX > 5
    MM_FOLLOW_LINE(lines, 5, 5)
#endif
#if MM_SELECT_MAX > 6
    MM_FOLLOW_LINE(lines, 6, 6)
#endif
#if MM_SELECT_MAX > 7
    MM_FOLLOW_LINE(lines, 7, 7)
#endif
#if MM_SELECT_MAX > 8
    lines = (uint8_t)(strobed >> 8);
    MM_FOLLOW_LINE(lines, 0, 8)
#endif
#if MM_SELECT_MAX > 9
    MM_FOLLOW_LINE(lines, 1, 9)
#endif
#if MM_SELECT_MAX > 10
    MM_FOLLOW_LINE(lines, 2, 10)
#endif
#if MM_SELECT_MAX > 11
    MM_FOLLOW_LINE(lines, 3, 11)
#endif
#if MM_SELECT_MAX > 12
    MM_FOLLOW_LINE(lines, 4, 12)
#endif
#if MM_SELECT_MAX > 13
    MM_FOLLOW_LINE(lines, 5, 13)
#endif
#if MM_SELECT_MAX > 14
    MM_FOLLOW_LINE(lines, 6, 14)
#endif
#if MM_SELECT_MAX > 15
    MM_FOLLOW_LINE(lines, 7, 15)
#endif
#if MM_SENSE_MAX <= 8
    return low;
#else
    return (mm_mask)(low | (uint16_t)((uint16_t)high << 8));
#endif
}

#undef MM_FOLLOW_LINE

#ifdef __cplusplus
}
#endif

#endif
