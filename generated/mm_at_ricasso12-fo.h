/* SPDX-License-Identifier: MIT */
/* The keys of Ricasso 12, Faroese. Made by matrixmap 0.1.0 from the machine ricasso12-fo. */
#ifndef MM_AT_RICASSO12_FO_H
#define MM_AT_RICASSO12_FO_H

/* Select line in the high digit, sense line in the low one; direct lines by number. */
enum {
    AT_HALF        = 0x00, /* C1/L1 */
    AT_TAB         = 0x01, /* C1/L2 */
    AT_LOCK        = 0x02, /* C1/L3 */
    AT_LESS        = 0x03, /* C1/L4 */
    AT_D1          = 0x04, /* C1/L5 */
    AT_Q           = 0x05, /* C1/L6 */
    AT_A           = 0x06, /* C1/L7 */
    AT_Z           = 0x07, /* C1/L8 */
    AT_D2          = 0x10, /* C2/L1 */
    AT_W           = 0x11, /* C2/L2 */
    AT_S           = 0x12, /* C2/L3 */
    AT_X           = 0x13, /* C2/L4 */
    AT_D3          = 0x14, /* C2/L5 */
    AT_E           = 0x15, /* C2/L6 */
    AT_D           = 0x16, /* C2/L7 */
    AT_C           = 0x17, /* C2/L8 */
    AT_D4          = 0x20, /* C3/L1 */
    AT_R           = 0x21, /* C3/L2 */
    AT_F           = 0x22, /* C3/L3 */
    AT_V           = 0x23, /* C3/L4 */
    AT_D5          = 0x24, /* C3/L5 */
    AT_T           = 0x25, /* C3/L6 */
    AT_G           = 0x26, /* C3/L7 */
    AT_B           = 0x27, /* C3/L8 */
    AT_D6          = 0x30, /* C4/L1 */
    AT_Y           = 0x31, /* C4/L2 */
    AT_H           = 0x32, /* C4/L3 */
    AT_N           = 0x33, /* C4/L4 */
    AT_D7          = 0x34, /* C4/L5 */
    AT_U           = 0x35, /* C4/L6 */
    AT_J           = 0x36, /* C4/L7 */
    AT_M           = 0x37, /* C4/L8 */
    AT_D8          = 0x40, /* C5/L1 */
    AT_I           = 0x41, /* C5/L2 */
    AT_K           = 0x42, /* C5/L3 */
    AT_COMMA       = 0x43, /* C5/L4 */
    AT_D9          = 0x44, /* C5/L5 */
    AT_O           = 0x45, /* C5/L6 */
    AT_L           = 0x46, /* C5/L7 */
    AT_PERIOD      = 0x47, /* C5/L8 */
    AT_D0          = 0x50, /* C6/L1 */
    AT_P           = 0x51, /* C6/L2 */
    AT_AE          = 0x52, /* C6/L3 */
    AT_MINUS       = 0x53, /* C6/L4 */
    AT_PLUS        = 0x54, /* C6/L5 */
    AT_ETH         = 0x55, /* C6/L6 */
    AT_OSLASH      = 0x56, /* C6/L7 */
    AT_SHIFT_RIGHT = 0x57, /* C6/L8 */
    AT_LEAVE       = 0x60, /* C7/L1 */
    AT_HOME        = 0x61, /* C7/L2 */
    AT_APOSTROPHE  = 0x62, /* C7/L3 */
    AT_UP          = 0x63, /* C7/L4 */
    AT_ERASE       = 0x64, /* C7/L5 */
    AT_INSERT      = 0x65, /* C7/L6 */
    AT_RETURN      = 0x66, /* C7/L7 */
    AT_DOWN        = 0x67, /* C7/L8 */
    AT_THIRD       = 0x70, /* C8/L1 */
    AT_LEFT        = 0x71, /* C8/L2 */
    AT_SHIFT_LEFT  = 0x72, /* C8/L3 */
    AT_END         = 0x73, /* C8/L4 */
    AT_SPACE       = 0x74, /* C8/L5 */
    AT_DELETE      = 0x75, /* C8/L6 */
    AT_DUTY        = 0x76, /* C8/L7 */
    AT_RIGHT       = 0x77, /* C8/L8 */
    AT_TRAY1       = 0x80, /* C9/L1 */
    AT_TRAY2       = 0x81, /* C9/L2 */
    AT_TRAY3       = 0x82, /* C9/L3 */
    AT_SEND        = 0x83, /* C9/L4 */
    AT_PAGE_UP     = 0x84, /* C9/L5 */
    AT_TRAY4       = 0x85, /* C9/L6 */
    AT_TRAY5       = 0x90, /* C10/L1 */
    AT_TRAY6       = 0x91, /* C10/L2 */
    AT_TRAY7       = 0x92, /* C10/L3 */
    AT_PRINT       = 0x93, /* C10/L4 */
    AT_TRAY8       = 0x94, /* C10/L5 */
    AT_TRAY9       = 0x95, /* C10/L6 */
    AT_PAGE_DOWN   = 0x96, /* C10/L7 */
    AT_PAD1        = 0xA0, /* C11/L1 */
    AT_PAD4        = 0xA1, /* C11/L2 */
    AT_PAD7        = 0xA2, /* C11/L3 */
    AT_PAD_PLUS    = 0xA3, /* C11/L4 */
    AT_PAD2        = 0xA4, /* C11/L5 */
    AT_PAD5        = 0xA5, /* C11/L6 */
    AT_PAD8        = 0xA6, /* C11/L7 */
    AT_PAD0        = 0xA7, /* C11/L8 */
    AT_PAD3        = 0xB0, /* C12/L1 */
    AT_PAD6        = 0xB1, /* C12/L2 */
    AT_PAD9        = 0xB2, /* C12/L3 */
    AT_PAD_MINUS   = 0xB3, /* C12/L4 */
    AT_PAD_COMMA   = 0xB6, /* C12/L7 */
    AT_PAD_ENTER   = 0xB7, /* C12/L8 */
    AT_SUMMON      = 0x00, /* CALL */
    AT_HUSH        = 0x01, /* HUSH */
};

#endif
