/* SPDX-License-Identifier: MIT */
/* The keys of Quillon 8. Made by matrixmap 0.1.0 from the machine quillon8. */
#ifndef MM_AT_QUILLON8_H
#define MM_AT_QUILLON8_H

/* Select line in the high digit, sense line in the low one; direct lines by number. */
enum {
    AT_HELM          = 0x00, /* S0/N0 */
    AT_ESCAPE        = 0x01, /* S0/N1 */
    AT_D8            = 0x02, /* S0/N2 */
    AT_Q             = 0x03, /* S0/N3 */
    AT_O             = 0x04, /* S0/N4 */
    AT_F             = 0x05, /* S0/N5 */
    AT_BACKSLASH     = 0x06, /* S0/N6 */
    AT_B             = 0x07, /* S0/N7 */
    AT_G             = 0x10, /* S1/N0 */
    AT_RETURN        = 0x11, /* S1/N1 */
    AT_N             = 0x12, /* S1/N2 */
    AT_BRACKET_LEFT  = 0x13, /* S1/N3 */
    AT_D1            = 0x14, /* S1/N4 */
    AT_D9            = 0x15, /* S1/N5 */
    AT_W             = 0x16, /* S1/N6 */
    AT_P             = 0x17, /* S1/N7 */
    AT_D0            = 0x20, /* S2/N0 */
    AT_E             = 0x21, /* S2/N1 */
    AT_MINUS         = 0x22, /* S2/N2 */
    AT_H             = 0x23, /* S2/N3 */
    AT_RIGHT         = 0x24, /* S2/N4 */
    AT_M             = 0x25, /* S2/N5 */
    AT_SPACE         = 0x26, /* S2/N6 */
    AT_D2            = 0x27, /* S2/N7 */
    AT_COMMA         = 0x30, /* S3/N0 */
    AT_BRACKET_RIGHT = 0x31, /* S3/N1 */
    AT_D3            = 0x32, /* S3/N2 */
    AT_CARET         = 0x33, /* S3/N3 */
    AT_R             = 0x34, /* S3/N4 */
    AT_SLASH         = 0x35, /* S3/N5 */
    AT_J             = 0x36, /* S3/N6 */
    AT_SHIFT_LEFT    = 0x37, /* S3/N7 */
    AT_LEFT          = 0x40, /* S4/N0 */
    AT_K             = 0x41, /* S4/N1 */
    AT_Z             = 0x42, /* S4/N2 */
    AT_PERIOD        = 0x43, /* S4/N3 */
    AT_BLAZON        = 0x44, /* S4/N4 */
    AT_D4            = 0x45, /* S4/N5 */
    AT_AT            = 0x46, /* S4/N6 */
    AT_T             = 0x47, /* S4/N7 */
    AT_D5            = 0x50, /* S5/N0 */
    AT_ERASE         = 0x51, /* S5/N1 */
    AT_Y             = 0x52, /* S5/N2 */
    AT_A             = 0x53, /* S5/N3 */
    AT_L             = 0x54, /* S5/N4 */
    AT_X             = 0x55, /* S5/N5 */
    AT_UNDERSCORE    = 0x56, /* S5/N6 */
    AT_B1            = 0x57, /* S5/N7 */
    AT_C             = 0x60, /* S6/N0 */
    AT_SHIFT_RIGHT   = 0x61, /* S6/N1 */
    AT_B2            = 0x62, /* S6/N2 */
    AT_D6            = 0x63, /* S6/N3 */
    AT_UP            = 0x64, /* S6/N4 */
    AT_U             = 0x65, /* S6/N5 */
    AT_S             = 0x66, /* S6/N6 */
    AT_SEMICOLON     = 0x67, /* S6/N7 */
    AT_I             = 0x70, /* S7/N0 */
    AT_D             = 0x71, /* S7/N1 */
    AT_COLON         = 0x72, /* S7/N2 */
    AT_V             = 0x73, /* S7/N3 */
    AT_DOWN          = 0x74, /* S7/N4 */
    AT_B3            = 0x75, /* S7/N5 */
    AT_D7            = 0x76, /* S7/N6 */
    AT_TAB           = 0x77, /* S7/N7 */
    AT_HAIL          = 0x00, /* HAIL */
};

#endif
