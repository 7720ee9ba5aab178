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
#if MM_WAITING < 1 || MM_WAITING > 127 || MM_HELD < 1 || MM_HELD > 127
#error "MM_WAITING and MM_HELD are 1 to 127"
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


/* What became of an input set. */
typedef uint8_t mm_result;
enum {
    MM_TAKEN = 0,    /* taken over */
    MM_ROLLED = 1,   /* the keyboard could not tell its keys apart: they stay, the modifier byte was taken over */
    MM_DROPPED = 2,  /* taken over, but the waiting line was full: at least one press was dropped, and counted */
    MM_MALFORMED = 3 /* nothing changed: report too short, no such keyboard, or no table */
};

#if MM_SENSE_MAX <= 8
typedef uint8_t mm_mask;
#else
typedef uint16_t mm_mask;
#endif

/* A press that waits, a stroke that is closed, or one that was opened less than its open time ago. */
typedef struct mm_slot {
    uint8_t what; /* bit 5 released; bits 6-7 keyboard; of a press: bits 0-4 Control, Shift, Alt, Meta, AltGr;
                     of a stroke: bits 0-1 kind as in the table, bit 2 opened */
    uint8_t value;
    union {
        struct {
            uint8_t usage;
            uint8_t modifiers; /* of the typist, bit n = modifier key n */
        } press;
        struct {
            uint8_t usage;
            uint8_t demand;
        } stroke;
        uint16_t open_left; /* ticks */
    } is;
} mm_slot;

/* Owned by the caller; its members are for tools and tests, firmware calls the functions. */
typedef struct mm_state {
    const uint8_t *table; /* that closes contacts; null: no table, nothing happens */
    const uint8_t *input; /* that judges input; differs from `table` while a layout change waits */
    uint16_t now;
    uint16_t close_left;
    uint16_t settle_left;
    uint16_t overflows;
    uint16_t refusals;
    uint8_t strokes;   /* slots of strokes, at the front, oldest first */
    uint8_t waiting;   /* slots of presses behind them, oldest first */
    uint8_t ahead;     /* presses ahead of a layout change; 0xFF: none waits */
    uint8_t leading;   /* the first press is a stroke already, whose modifiers lead it */
    uint8_t typist;    /* those that count now */
    uint8_t latches;
    uint8_t modifiers; /* closed now */
    uint8_t wanted;    /* closed as soon as they may */
    uint8_t locks;     /* bits as in the table's flags */
    uint8_t kept;
    uint8_t command;
    uint8_t command_due;
    uint8_t keys;      /* crosspoints that strokes close */
    uint8_t recent;    /* crosspoints opened less than their open time ago; bit 7: the first press waits for one */
    mm_mask closed[MM_SELECT_MAX + 1]; /* the last one holds the direct lines */
    mm_slot slots[MM_HELD + MM_WAITING];
    uint8_t live[MM_KEYBOARDS]; /* machine modifiers that each keyboard holds, bit n = modifier key n */
    uint8_t down[MM_KEYBOARDS][32];
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
