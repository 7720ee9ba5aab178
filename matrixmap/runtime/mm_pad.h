/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Decodes the reports of joysticks and game pads, and says which switches of the machine's controllers they close. Leave
 * it out of firmware without pads.
 *
 *     static mm_pads pads;
 *     mm_pads_init(&pads, mm_layout_name_pads, MM_LAYOUT_NAME_PADS_SIZE);   the layout's `pads:`
 *     place = mm_pads_connect(&pads, table, size, in_ram);                  once for each pad that connects
 *     mm_pad_report(&pads.pad[place], report, length);                      for each report from it
 *     for (i = 0; i < mm_pads_controllers(&pads); i++) {
 *         mask = mm_pads_switches(&pads, i, &controller);                   the switches of this controller that are closed
 *         mm_controller(&state, controller, mask);
 *     }
 *
 * The table of a pad, which mm_read_pad() (mm_descriptor.h) makes from its report descriptor on the microcontroller or
 * `matrixmap pad --emit c` on the desk; numbers of two bytes have the low byte first, bits count from bit 0 of byte 0:
 *
 *     0     version
 *     1     bit 0: reports begin with their id
 *     2     number of reports, 1 to 16
 *     3-4   length of the steps in bytes
 *     5...  the steps; each begins with its kind in bits 0-3 and the number of its report in bits 4-7, and {bit, bit}.
 *           A shape is the number of bits of a value, 1 to 16, with 0x20 if it is in two's complement, and 0x40 if a
 *           value outside its range is ignored and not brought into it. A source with 0x80 is one for all values.
 *           kind 1, {count, count, source}: so many single bits, for sources in a row
 *           kind 2, {count, count, source, shape, low, low, high, high}: values of several bits, on if not 0;
 *           if low is above high they have no range
 *           kind 3, {shape, count, runs} and so many {first, first, count, source}: an array, whose values name sources
 *           kind 4, {shape, axis, low, low, span, span}: an axis (0 to 5: X, Y, Z, Rx, Ry, Rz) from low to low + span
 *           kind 5, {shape, values, low, low}: a hat of 4 or 8 values from low on, clockwise from up
 *     then  for each report {id, length, length}: its length in bytes, the byte of its id included, up to 8191
 *
 * Sources: 0 to 31 are Button 1 to 32; 32 to 35 D-pad up, down, right, left; 36 to 39 the same of the hat; 40 to 43 the
 * same of the stick (Y-, Y+, X+, X-); 44 to 51 Z-, Z+, Rx-, Rx+, Ry-, Ry+, Rz-, Rz+.
 *
 * The map of a layout's `pads:`, which `matrixmap build` writes:
 *
 *     0     version
 *     1     press, 2 release: where the dead zone ends and begins, in per cent of the way to the end
 *     3     number of buttons that press a stroke, and so many {source, usage}
 *     then  number of controllers in their order, and for each {controller, switches}, and for each of its switches
 *           {direction, count} and so many sources. The direction is 1 up, 2 down, 3 right, 4 left, or 0 for none
 */
#ifndef MM_PAD_H
#define MM_PAD_H

#include "mm_runtime.h"

#define MM_PAD_TABLE_VERSION 1
#define MM_PAD_MAP_VERSION 1

#ifndef MM_PAD_PLACES
#define MM_PAD_PLACES 2 /* pads at the same time, 1 to 8 */
#endif
#if MM_PAD_PLACES < 1 || MM_PAD_PLACES > 8
#error "MM_PAD_PLACES is 1 to 8"
#endif

#define MM_PAD_NO_PLACE 0xFFu
#define MM_PAD_SOURCES 52u
#define MM_PAD_AXES 6u

#ifdef __cplusplus
extern "C" {
#endif

typedef enum mm_pad_result {
    MM_PAD_TAKEN = 0,    /* what is on may have changed */
    MM_PAD_OTHER = 1,    /* nothing changed: reports with this id contain nothing of this pad */
    MM_PAD_MALFORMED = 2 /* nothing changed: the report is shorter than its descriptor says, or there is no table */
} mm_pad_result;

/* One pad. Owned by the caller; the table must stay in its place as long as this is used. */
typedef struct mm_pad_state {
    const uint8_t *table;        /* null: no table */
    uint8_t on[7];               /* bit n % 8 of byte n / 8: source n is on */
    uint16_t value[MM_PAD_AXES]; /* of each axis, from its low end */
    uint16_t span[MM_PAD_AXES];  /* of each axis that a report has told; else 0 */
    uint8_t sides[MM_PAD_AXES];  /* where the stick (0) and the other axes (2 to 5) are */
    uint8_t stick;               /* which of X (1) and Y (2) there are */
    uint8_t press;               /* per cent; set it after the start if you want other values than 50 and 40 */
    uint8_t release;
    bool in_ram;                 /* the table is in RAM and not in program memory */
} mm_pad_state;

/* Starts with a table in program memory (MM_TABLE); nothing is on. False: the table is damaged or of another version;
 * every report is then malformed. */
bool mm_pad_init(mm_pad_state *pad, const uint8_t *table, uint16_t size);

/* The same with a table in RAM, such as mm_read_pad() makes. */
bool mm_pad_init_ram(mm_pad_state *pad, const uint8_t *table, uint16_t size);

/* Takes a report of `length` bytes as it came, including the byte of its id if the device has ids; more bytes than the
 * descriptor says are ignored. A device with several pads has one mm_pad_state for each: give every report to all of them. */
mm_pad_result mm_pad_report(mm_pad_state *pad, const uint8_t *report, uint16_t length);

/* The same if the id comes separately from the bytes, as over Bluetooth Low Energy: neither `report` nor `length` has it. */
mm_pad_result mm_pad_report_of(mm_pad_state *pad, uint8_t id, const uint8_t *report, uint16_t length);

/* Whether a source is on. */
bool mm_pad_is_on(const mm_pad_state *pad, uint8_t source);

/* The link is lost: everything is released, and the stick must be at rest once before it shows a direction again. */
void mm_pad_disconnected(mm_pad_state *pad);

/* The pads of one machine, in places 0, 1, ... in the order in which they connected. */
typedef struct mm_pads {
    const uint8_t *map; /* in program memory; null: none */
    uint8_t taken;      /* bit n: place n has a pad */
    bool swapped;       /* places 0 and 1 drive each other's controllers */
    mm_pad_state pad[MM_PAD_PLACES];
} mm_pads;

/* Starts without a pad. False: the map is damaged or of another version; nothing is ever closed then. */
bool mm_pads_init(mm_pads *pads, const uint8_t *map, uint16_t size);

/* Takes another map, for another layout: pads keep their places, and stay swapped if they were. */
bool mm_pads_change_map(mm_pads *pads, const uint8_t *map, uint16_t size);

/* A pad connects: it takes the lowest free place, which is returned, and keeps it until it disconnects. MM_PAD_NO_PLACE:
 * no place is free, or the table is damaged. */
uint8_t mm_pads_connect(mm_pads *pads, const uint8_t *table, uint16_t size, bool in_ram);

/* A pad disconnects: its switches open at once, and its place is free. */
void mm_pads_disconnected(mm_pads *pads, uint8_t place);

/* Places 0 and 1 change sides, for a command of the layout. */
void mm_pads_swap(mm_pads *pads);

/* How many controllers the layout's `order` names. */
uint8_t mm_pads_controllers(const mm_pads *pads);

/*
 * The switches of one of them that are closed, bit n for its switch n in the order of the machine's file, for
 * mm_controller(); *controller is its number in that file. `which` counts in the layout's `order`. Of opposite directions
 * that are on together, from whatever sources, neither is closed. 0 for a place without a pad.
 */
uint8_t mm_pads_switches(const mm_pads *pads, uint8_t which, uint8_t *controller);

/* Adds to a set of usages those of the buttons that press a stroke or send a command, for mm_usages(). */
void mm_pads_usages(const mm_pads *pads, uint8_t down[32]);

#ifdef __cplusplus
}
#endif

#endif
