/* SPDX-License-Identifier: MIT */
#ifndef MM_RUNTIME_H
#define MM_RUNTIME_H

#include <stdbool.h>
#include <stdint.h>

#include "mm_config.h"

#define MM_TABLE_VERSION 1

#if MM_TABLE_VERSION_WANTED != MM_TABLE_VERSION
#error "the tables and the runtime are of different versions: run `matrixmap build` again"
#endif
#if MM_SELECT_MAX < 1 || MM_SELECT_MAX > 16 || MM_SENSE_MAX < 1 || MM_SENSE_MAX > 16
#error "MM_SELECT_MAX and MM_SENSE_MAX are 1 to 16"
#endif
#if MM_KEYBOARDS < 1 || MM_KEYBOARDS > 4
#error "MM_KEYBOARDS is 1 to 4"
#endif
#if MM_WAITING < 1 || MM_WAITING > 254 || MM_HELD < 1 || MM_HELD > 254
#error "MM_WAITING and MM_HELD are 1 to 254"
#endif

/* Where tables live and how one byte of them is read; define both before this header for other program memories. */
#ifndef MM_READ
#if defined(__AVR__)
#include <avr/pgmspace.h>
#define MM_TABLE PROGMEM
#define MM_READ(address) pgm_read_byte(address)
#else
#define MM_TABLE
#define MM_READ(address) (*(address))
#endif
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_NEVER 0xFFFFu     /* mm_advance: nothing will change before the next report */
#define MM_LED_NUM_LOCK 0x01u  /* HID boot keyboard output report, HID 1.11 appendix B.1 */
#define MM_LED_CAPS_LOCK 0x02u
#define MM_USAGE_BYTES 29u   /* usages 0x00 to 0xE7; HID Usage Tables reserve those above on the keyboard page */

typedef enum mm_result {
    MM_TAKEN = 0,     /* the input set was taken over */
    MM_ROLLED = 1,    /* the keyboard could not tell its keys apart: they stay as they were, the modifier byte was taken */
    MM_DROPPED = 2,   /* taken over, but the waiting line was full: at least one press was dropped, and counted */
    MM_MALFORMED = 3  /* nothing changed: report too short, no such keyboard, or no table */
} mm_result;

#if MM_SENSE_MAX <= 8
typedef uint8_t mm_mask;
#else
typedef uint16_t mm_mask;
#endif

typedef struct mm_press {
    uint8_t usage;
    uint8_t how;       /* bits 0-1 level - 1; bits 2-4 Control, Alt, Meta held; bit 5 released; bits 6-7 keyboard */
    uint8_t modifiers; /* the typist's machine modifiers at that moment, bit n = modifier key n */
} mm_press;

typedef struct mm_stroke {
    uint8_t what;  /* bits 0-1 kind as in the table; bit 2 open again; bit 5 released; bits 6-7 keyboard */
    uint8_t value;
    union {
        struct {
            uint8_t usage;
            uint8_t demand;
        } closed;
        uint16_t open; /* ticks of its open time that are left */
    } is;
} mm_stroke;

typedef struct mm_state {
    const uint8_t *table; /* that closes contacts; null: no table, nothing happens */
    const uint8_t *input; /* that judges input; differs from `table` while a layout change waits */
    uint16_t now;
    uint16_t close_left;
    uint16_t settle_left;
    uint16_t overflows;
    uint16_t refusals;
    uint8_t waiting;
    uint8_t strokes;
    uint8_t ahead;  /* presses ahead of a layout change; 0xFF: none waits */
    uint8_t phase;
    uint8_t live;   /* machine modifiers that the typist holds now */
    uint8_t typist; /* those that count now */
    uint8_t latches;
    uint8_t modifiers; /* closed now */
    uint8_t wanted;
    uint8_t locks;  /* as in the LED byte */
    uint8_t kept;   /* which of them this layout keeps */
    uint8_t command;
    uint8_t command_due;
    mm_mask closed[MM_SELECT_MAX + 1]; /* the last one holds the direct lines */
    mm_press line[MM_WAITING]; /* oldest first */
    mm_stroke held[MM_HELD];   /* oldest first */
    uint8_t down[MM_KEYBOARDS][MM_USAGE_BYTES];
} mm_state;

bool mm_init(mm_state *state, const uint8_t *table, uint16_t size);
mm_result mm_boot_report(mm_state *state, uint8_t keyboard, const uint8_t *report, uint8_t length);
mm_result mm_usages(mm_state *state, uint8_t keyboard, const uint8_t down[32]);
void mm_disconnected(mm_state *state, uint8_t keyboard);
uint16_t mm_advance(mm_state *state, uint16_t now);
bool mm_change_layout(mm_state *state, const uint8_t *table, uint16_t size);
uint16_t mm_select_mask(const mm_state *state, uint8_t select);
uint8_t mm_direct_mask(const mm_state *state);
uint8_t mm_leds(const mm_state *state);
bool mm_take_command(mm_state *state, uint8_t *command);
uint16_t mm_overflows(const mm_state *state);
uint16_t mm_refusals(const mm_state *state);
bool mm_idle(const mm_state *state);

#ifdef __cplusplus
}
#endif

#endif
