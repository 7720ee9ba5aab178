/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * The driver of a board: from the masks of the runtime to the pins that close contacts. `matrixmap build --adapter` writes
 * its tables, traced through the nets of the adapter, as mm_board_ADAPTER_MACHINE.h and .c.
 *
 * You write the three functions below. Configure the pins that they write as outputs before mm_board_begin. Configure a pin
 * that is itself on a line of the machine as open-drain, so that 1 releases the line.
 *
 * ORDER OF WRITES. mm_board_show opens contacts before it closes others. At first, every write of a pin leaves the same
 * contacts closed or fewer, until only those are left that stay closed. Then more close, until all those asked for are closed.
 * A set of four contacts at two select and two sense lines passes through three of them for one write.
 */
#ifndef MM_BOARD_H
#define MM_BOARD_H

#include "mm_follow.h"
#include "mm_runtime.h"

#ifdef __cplusplus
extern "C" {
#endif

#ifndef MM_BOARD_PORT_BITS
#error "include mm_board_ADAPTER_MACHINE.h, which says how wide the ports of the board are"
#endif

/* The bits of a port. */
#if MM_BOARD_PORT_BITS <= 8
typedef uint8_t mm_board_bits;
#elif MM_BOARD_PORT_BITS <= 16
typedef uint16_t mm_board_bits;
#else
typedef uint32_t mm_board_bits;
#endif

/* Sense lines to pull low, bit n for line n. */
#ifdef MM_BOARD_LOW_BITS
#if MM_BOARD_LOW_BITS <= 8
typedef uint8_t mm_board_low;
#else
typedef uint16_t mm_board_low;
#endif
#endif

/* Yours: writes the bits of a port that are set in `mask`, with their values in `bits`, and no other bits. If an interrupt
 * writes other bits of the port, as the interrupt of the select lines does, it must not come in between. */
extern void mm_board_write(uint8_t port, mm_board_bits mask, mm_board_bits bits);

/* Yours: reads a port. It is called only where contacts follow select lines. */
extern mm_board_bits mm_board_read(uint8_t port);

/* Yours: waits at least this many nanoseconds; may return at once if each write takes longer. */
extern void mm_board_wait(uint16_t nanoseconds);

/* The masks of a set: one for each select line, and with pads one for what they pull whatever is strobed. */
#if MM_PADS
#define MM_BOARD_SET (MM_BOARD_SELECT + 1u)
#else
#define MM_BOARD_SET MM_BOARD_SELECT
#endif

/* Owned by the caller. */
typedef struct mm_board {
    uint16_t shown[MM_SELECT_MAX]; /* contacts that are closed */
    uint8_t direct;
#if MM_PADS
    uint16_t pulls;  /* sense lines that are pulled low whatever is strobed */
    uint16_t wanted; /* those that must be pulled */
#endif
#ifdef MM_BOARD_LOW_BITS /* contacts follow select lines */
    volatile mm_board_low low[2 * MM_BOARD_SET]; /* the sense lines that each one pulls low, in two sets */
    volatile uint8_t set;                        /* where the set in use begins */
#endif
} mm_board;

/* Opens all contacts. Call it first, before anybody types on the machine. */
void mm_board_begin(mm_board *board);

/* Closes the contacts that the state asks for, and no others; writes only what changed. Call it after mm_advance.
 * With MM_PADS it pulls the sense lines of mm_pulls too, those that the board can pull: MM_BOARD_PULLED has those that it
 * pulls whatever is strobed; where MM_BOARD_GATED is 1 it pulls any of them while a select line is strobed. */
void mm_board_show(mm_board *board, const mm_state *state);

/* The same for masks: `select` has one for each select line of the machine. It lets go of what pads pull. */
void mm_board_show_masks(mm_board *board, const uint16_t *select, uint8_t direct);

/* Writes again what is shown, which corrects a bit that static has flipped. Call it now and then while mm_idle holds. */
void mm_board_refresh(mm_board *board);

/* Pulls the sense lines that the strobed select lines ask for, and releases all others. Call it from the interrupt of the
 * select lines, at both edges, and from the loop after mm_board_show with that interrupt off. It does nothing if switches
 * close the contacts. If contacts follow, the header of the board also has it in line, for an interrupt without time for calls.
 * There are two sets of masks: the loop writes the set that is not in use, and switches to it by writing one byte. */
void mm_board_follow(const mm_board *board);

#ifdef __cplusplus
}
#endif
#endif
