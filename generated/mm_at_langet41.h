/* SPDX-License-Identifier: MIT */
/* The keys of Langet 41. Made by matrixmap 0.1.0 from the machine langet41. */
#ifndef MM_AT_LANGET41_H
#define MM_AT_LANGET41_H

/* Select line in the high digit, sense line in the low one; direct lines by number. */
enum {
    AT_Q     = 0x00, /* T0/B0 */
    AT_W     = 0x01, /* T0/B1 */
    AT_EBB   = 0x02, /* T0/B2 */
    AT_A     = 0x03, /* T0/B3 */
    AT_Z     = 0x04, /* T0/B4 */
    AT_D1    = 0x05, /* T0/B5 */
    AT_D2    = 0x10, /* T1/B0 */
    AT_E     = 0x11, /* T1/B1 */
    AT_R     = 0x12, /* T1/B2 */
    AT_S     = 0x13, /* T1/B3 */
    AT_D     = 0x14, /* T1/B4 */
    AT_X     = 0x15, /* T1/B5 */
    AT_C     = 0x20, /* T2/B0 */
    AT_D3    = 0x21, /* T2/B1 */
    AT_T     = 0x22, /* T2/B2 */
    AT_Y     = 0x23, /* T2/B3 */
    AT_F     = 0x24, /* T2/B4 */
    AT_G     = 0x25, /* T2/B5 */
    AT_J     = 0x30, /* T3/B0 */
    AT_V     = 0x31, /* T3/B1 */
    AT_D4    = 0x32, /* T3/B2 */
    AT_U     = 0x33, /* T3/B3 */
    AT_I     = 0x34, /* T3/B4 */
    AT_H     = 0x35, /* T3/B5 */
    AT_K     = 0x40, /* T4/B0 */
    AT_L     = 0x41, /* T4/B1 */
    AT_B     = 0x42, /* T4/B2 */
    AT_D5    = 0x43, /* T4/B3 */
    AT_O     = 0x44, /* T4/B4 */
    AT_P     = 0x45, /* T4/B5 */
    AT_M     = 0x50, /* T5/B0 */
    AT_D6    = 0x51, /* T5/B1 */
    AT_D7    = 0x52, /* T5/B2 */
    AT_D8    = 0x53, /* T5/B3 */
    AT_SPACE = 0x54, /* T5/B4 */
    AT_N     = 0x55, /* T5/B5 */
    AT_D0    = 0x60, /* T6/B0 */
    AT_ENTER = 0x61, /* T6/B1 */
    AT_ERASE = 0x63, /* T6/B3 */
    AT_D9    = 0x64, /* T6/B4 */
    AT_FLOOD = 0x65, /* T6/B5 */
};

#endif
