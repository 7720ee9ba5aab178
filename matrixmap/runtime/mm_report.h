/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Decodes the reports of any HID keyboard with a small table. `matrixmap keyboard --emit c` writes the table for one
 * keyboard; mm_read_descriptor() (mm_descriptor.h) makes it from a report descriptor on the microcontroller.
 *
 *     static mm_report_state keyboard;
 *     uint8_t down[32];
 *     mm_report_init(&keyboard, mm_keyboard_name, MM_KEYBOARD_NAME_SIZE);      once, when the keyboard connects
 *     if (mm_report_keys(&keyboard, report, length, down) <= MM_REPORT_ROLLED) for each report
 *         mm_usages(&state, 0, down);
 *
 * If the id of a report comes separately from its bytes, as over Bluetooth Low Energy, use mm_report_keys_of().
 * mm_report_leds() makes the report that sets the keyboard's LEDs; docs/connections.md says when to send it.
 * A keyboard that uses the boot protocol needs none of this: mm_boot_report() takes its reports unchanged.
 *
 * The table, version 2; numbers of two bytes have the low byte first, bits count from bit 0 of byte 0:
 *
 *     0     version
 *     1     bit 0: reports begin with their id
 *     2     number of reports, 1 to 16
 *     3-4   length of the steps in bytes
 *     5...  the steps; each begins with its kind in bits 0-3 and the number of its report in bits 4-7
 *           kind 1, {kind, bit, bit, count - 1, usage}: so many single bits, for usages in a row
 *           kind 2, {kind, bit, bit, count - 1, usage, size, size}: the same with values of `size` bits; down if not 0
 *           kind 3, {kind, bit, bit, size, count, count, ranges} and so many {value, count - 1, usage}: an array of
 *           `count` values of `size` bits, 1 to 32, without sign; `value` takes as many bytes as `size` bits need
 *     then  for each report {id, length, length}: its length in bytes, the byte of its id included, up to 8191
 *     then  number of runs of LEDs; if it is not 0, the output report that they are in, {id, length, length} (id 0: it
 *           has none; else the length includes the byte of its id), and the runs
 *           {bit, bit, count - 1, usage}: so many single bits, for usages 0x01 to 0x05 of the LED page in a row
 */
#ifndef MM_REPORT_H
#define MM_REPORT_H

#include "mm_runtime.h"

#define MM_REPORT_TABLE_VERSION 2

#ifndef MM_REPORTS
#define MM_REPORTS 2 /* reports with keys that one keyboard may have, 1 to 16; each takes 32 bytes of RAM */
#endif
#if MM_REPORTS < 1 || MM_REPORTS > 16
#error "MM_REPORTS is 1 to 16"
#endif

#ifdef __cplusplus
extern "C" {
#endif

typedef enum mm_report_result {
    MM_REPORT_KEYS = 0,     /* the keys of this report are taken */
    MM_REPORT_ROLLED = 1,   /* the keyboard could not tell its keys apart (usages 0x01 to 0x03): they stay as they were,
                               and the modifiers that have bits of their own are taken (HID 1.11, appendix C) */
    MM_REPORT_OTHER = 2,    /* nothing changed: reports with this id contain no keys */
    MM_REPORT_MALFORMED = 3 /* nothing changed: the report is shorter than its descriptor says, or there is no table */
} mm_report_result;

/* One keyboard. Owned by the caller; the table must stay in its place as long as this is used. */
typedef struct mm_report_state {
    const uint8_t *table; /* null: no table */
    bool in_ram;          /* the table is in RAM and not in program memory */
    uint8_t down[MM_REPORTS][32];
} mm_report_state;

/* Starts with a table in program memory (MM_TABLE); no key is down. False: the table is damaged, has another version, or
 * has more than MM_REPORTS reports; every report is then malformed. */
bool mm_report_init(mm_report_state *state, const uint8_t *table, uint16_t size);

/* The same with a table in RAM, such as mm_read_descriptor() makes. */
bool mm_report_init_ram(mm_report_state *state, const uint8_t *table, uint16_t size);

/*
 * Takes a report of `length` bytes as it came, including the byte of its id if the keyboard has ids; more bytes than the
 * descriptor says are ignored. Whatever the result, `down` is then the set of usages that are down, bit u % 8 of byte
 * u / 8, for mm_usages(): a key is down if any report of this keyboard says so. Usages 0x00 to 0x03 are never in it.
 */
mm_report_result mm_report_keys(mm_report_state *state, const uint8_t *report, uint16_t length, uint8_t down[32]);

/*
 * The same if the id comes separately: `report` does not have the byte of the id, and `length` does not count it.
 * `id` is 0 for a keyboard without ids; for one with ids, 0 gives MM_REPORT_OTHER.
 */
mm_report_result mm_report_keys_of(mm_report_state *state, uint8_t id, const uint8_t *report, uint16_t length,
                                   uint8_t down[32]);

/*
 * Makes the output report that sets the keyboard's LEDs: bit n of `leds`, the byte of mm_leds(), is LED usage n + 1, as
 * in the boot output report (HID 1.11, appendix B.1); bits 5 to 7 are ignored. Every other bit of the report is 0.
 * Returns the length of the report in bytes, without the byte of its id, and the id in *id (0: it has none). If the
 * length is more than `room`, nothing is written to `out`. 0: the keyboard has no such LEDs, or there is no table.
 */
uint16_t mm_report_leds(const mm_report_state *state, uint8_t leds, uint8_t *id, uint8_t *out, uint16_t room);

/* The link to the keyboard is lost: no key of it is down. Call mm_disconnected() too. */
void mm_report_disconnected(mm_report_state *state);

#ifdef __cplusplus
}
#endif

#endif
