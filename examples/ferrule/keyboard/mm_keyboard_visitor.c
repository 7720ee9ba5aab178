/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * How to read the reports of the keyboard visitor.
 * Made by matrixmap 0.1.0 from its report descriptor, 53 bytes,
 * SHA-256 ba38325a0846568be4c91bc80f6c460d4e47bf898353d3bfd60a994eec0b2ad7
 */
#include "mm_keyboard_visitor.h"

const uint8_t mm_keyboard_visitor[MM_KEYBOARD_VISITOR_SIZE] MM_TABLE = {
    /* version; reports begin with their id */
    0x02, 0x01,
    /* number of reports; bytes of the steps */
    0x01, 0x0A, 0x00,
    /* ControlLeft to MetaRight: a bit each from bit 8 on */
    0x01, 0x08, 0x00, 0x07, 0xE0,
    /* 0x00 to 0x97: a bit each from bit 16 on */
    0x01, 0x10, 0x00, 0x97, 0x00,
    /* report 6: 21 bytes */
    0x06, 0x15, 0x00,
    /* runs of LEDs in output report 6: 2 bytes */
    0x01, 0x06, 0x02, 0x00,
    /* Num Lock LED to Scroll Lock LED: a bit each from bit 8 on */
    0x08, 0x00, 0x02, 0x01,
};
