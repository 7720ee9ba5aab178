/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Reads a HID report descriptor (HID 1.11, section 6.2.2) on the microcontroller and makes the table for mm_report.h.
 * Leave it out of firmware that knows its keyboards beforehand or uses the boot protocol.
 *
 *     static uint8_t table[256];
 *     uint16_t size;
 *     if (mm_read_descriptor(descriptor, length, table, sizeof table, &size) == MM_DESCRIPTOR_READ)
 *         mm_report_init_ram(&keyboard, table, size);
 *     else
 *         ...                                   select the boot protocol of the keyboard (Set_Protocol) instead
 */
#ifndef MM_DESCRIPTOR_H
#define MM_DESCRIPTOR_H

#include "mm_report.h"

#ifndef MM_PADS
#define MM_PADS 0 /* 1: joysticks and game pads too */
#endif
#ifndef MM_DESCRIPTOR_REPORTS
#define MM_DESCRIPTOR_REPORTS 12 /* input reports of one device, including those without keys, 1 to 255 */
#endif
#ifndef MM_DESCRIPTOR_PUSHES
#define MM_DESCRIPTOR_PUSHES 2 /* Push items without a Pop at the same time, 1 to 16 */
#endif
#ifndef MM_DESCRIPTOR_USAGES
#define MM_DESCRIPTOR_USAGES 1024 /* usages, ranges of usages and fields of one device, 1 to 65534 */
#endif
#if MM_DESCRIPTOR_USAGES < 1 || MM_DESCRIPTOR_USAGES > 65534
#error "MM_DESCRIPTOR_USAGES is 1 to 65534"
#endif
#if MM_DESCRIPTOR_REPORTS < 1 || MM_DESCRIPTOR_REPORTS > 255 || MM_DESCRIPTOR_PUSHES < 1 || MM_DESCRIPTOR_PUSHES > 16
#error "MM_DESCRIPTOR_REPORTS is 1 to 255, MM_DESCRIPTOR_PUSHES is 1 to 16"
#endif

#ifdef __cplusplus
extern "C" {
#endif

typedef enum mm_descriptor_result {
    MM_DESCRIPTOR_READ = 0,      /* the table is made */
    MM_DESCRIPTOR_MALFORMED = 1, /* the descriptor makes no sense at byte *size, or has more than MM_DESCRIPTOR_USAGES
                                    usages, ranges of usages and fields before it */
    MM_DESCRIPTOR_NO_KEYS = 2,   /* it has no input field with usages of the keyboard page */
    MM_DESCRIPTOR_NO_ROOM = 3    /* something at byte *size exceeds `room`, MM_REPORTS, MM_DESCRIPTOR_REPORTS,
                                    MM_DESCRIPTOR_PUSHES, 255 runs of LEDs or reports of 8191 bytes; or a Pop changes
                                    the page of usages that do not have their field yet */
} mm_descriptor_result;

/*
 * Reads the descriptor, `length` bytes in RAM, and makes a table of at most `room` bytes. With MM_DESCRIPTOR_READ, *size
 * is the table's size in bytes; with every other result the table cannot be used. Needs neither heap nor static memory.
 * Its time grows with the length alone; where usages are listed one by one, it grows with the square of the length, with
 * at most MM_DESCRIPTOR_USAGES of them.
 *
 * The table's LEDs are those of mm_report_leds(), in one output report: the first in the descriptor that has any of them
 * in an application collection Keyboard or Keypad. All of them in that report count, even two with one usage.
 */
mm_descriptor_result mm_read_descriptor(const uint8_t *descriptor, uint16_t length, uint8_t *table, uint16_t room,
                                        uint16_t *size);

#if MM_PADS
/*
 * The same for mm_pad.h: the table of pad `number`, from 0, of a device. A pad is an application collection Joystick or
 * Game Pad; keyboards beside it are mm_read_descriptor()'s. MM_DESCRIPTOR_NO_KEYS: nothing of it is read, or there is no
 * such pad; *size is then the number of pads that the device has, at most 255. MM_DESCRIPTOR_MALFORMED: also if a field
 * of the pad, at byte *size, has a Usage Minimum without a Usage Maximum, or the other way round. What is not read of a pad
 * (`matrixmap pad` names it) is left out, and the rest of it read. Output and feature reports are not looked at.
 */
mm_descriptor_result mm_read_pad(const uint8_t *descriptor, uint16_t length, uint8_t number, uint8_t *table,
                                 uint16_t room, uint16_t *size);
#endif

#ifdef __cplusplus
}
#endif

#endif
