/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * quillon8-de-DE-symbolic: Quillon 8, German (Germany), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name. Do not edit: change the layout and build again.
 * SHA-256 of the plan: 146b7294cc671d8a80549e335ac0fe131225f8fd0dad67e58183a164241e1f84
 */
#include "quillon8-de-DE-symbolic.h"
#include "mm_at_quillon8.h"

/* Demands: what a stroke asks of the modifiers, in the order of the table below. */
enum {
    ASK_NOTHING,
    ASK_LIFT_SHIFT,
    ASK_HOLD_SHIFT_LEFT,
    ASK_LIFT_SHIFT_LIFT_BLAZON,
    ASK_HOLD_SHIFT_LEFT_LIFT_BLAZON,
    ASK_HOLD_BLAZON_LIFT_SHIFT,
    ASK_HOLD_SHIFT_LEFT_HOLD_BLAZON,
    ASK_HOLD_SHIFT_RIGHT_HOLD_BLAZON,
    ASK_LIFT_HELM_LIFT_BLAZON,
    ASK_HOLD_HELM_LIFT_BLAZON,
    ASK_HOLD_BLAZON_LIFT_HELM,
};

/* Dead keys. All that compose nothing on this machine share one number. */
enum {
    DEAD_CIRCUMFLEX_ACCENT = 1,
    DEAD_DIAERESIS,
    DEAD_ACUTE_ACCENT,
    DEAD_RING_ABOVE,
    DEAD_OTHER,
};

const uint8_t mm_quillon8_de_DE_symbolic[MM_QUILLON8_DE_DE_SYMBOLIC_SIZE] MM_TABLE = {
    MM_TABLE_VERSION, 8, 8, 1, /* version; select, sense and direct lines */
    4, 11, 1, 0, 41, /* numbers of modifier keys, demands, Caps Lock ranges, chords, groups */
    0x33, 2, /* flags: right Alt is AltGr, phantom guard on, runtime keeps Caps Lock, runtime keeps Num Lock; rollover: that of the machine */
    35, 1, 31, 1, 5, 0, /* close time 291, open time 287, lead time 5, in units of 0.1 ms */
    0, AT_SHIFT_LEFT, /* modifier key 0: shift-left */
    0, AT_SHIFT_RIGHT, /* modifier key 1: shift-right */
    0, AT_HELM, /* modifier key 2: helm */
    0, AT_BLAZON, /* modifier key 3: blazon */
    0x00, 0x00, /* ASK_NOTHING */
    0x03, 0x00, /* ASK_LIFT_SHIFT */
    0x03, 0x01, /* ASK_HOLD_SHIFT_LEFT */
    0x0B, 0x00, /* ASK_LIFT_SHIFT_LIFT_BLAZON */
    0x0B, 0x01, /* ASK_HOLD_SHIFT_LEFT_LIFT_BLAZON */
    0x0B, 0x08, /* ASK_HOLD_BLAZON_LIFT_SHIFT */
    0x0B, 0x09, /* ASK_HOLD_SHIFT_LEFT_HOLD_BLAZON */
    0x0B, 0x0A, /* ASK_HOLD_SHIFT_RIGHT_HOLD_BLAZON */
    0x0C, 0x00, /* ASK_LIFT_HELM_LIFT_BLAZON */
    0x0C, 0x04, /* ASK_HOLD_HELM_LIFT_BLAZON */
    0x0C, 0x08, /* ASK_HOLD_BLAZON_LIFT_HELM */
    0x04, 0x1D, 1, /* Caps Lock swaps plain with Shift: KeyA to KeyZ */

    /* any level: modifiers, as masks of modifier keys */
    0x0F, ASK_NOTHING, 3, 5,
    0xE0, 0x04, /* ControlLeft: is helm (helm) */
    0xE1, 0x01, /* ShiftLeft: is shift (shift-left) */
    0xE2, 0x08, /* AltLeft: is blazon (blazon) */
    0xE4, 0x04, /* ControlRight: is helm (helm) */
    0xE5, 0x01, /* ShiftRight: is shift (shift-left) */

    /* after the dead key ^, any level: keys; modifiers pass */
    0x0F, ASK_NOTHING, MM_PAIR_OF(DEAD_CIRCUMFLEX_ACCENT) | 0, 2,
    0x00, AT_CARET, /* the accent alone types ^ */
    0x2C, AT_CARET, /* Space types ^ */

    /* after the dead key ^, plain: keys; modifiers pass */
    0x01, ASK_NOTHING, MM_PAIR_OF(DEAD_CIRCUMFLEX_ACCENT) | 0, 1,
    0x35, AT_CARET, /* Backquote types ^ */

    /* after the dead key ^, AltGr: keys; modifiers pass */
    0x04, ASK_NOTHING, MM_PAIR_OF(DEAD_CIRCUMFLEX_ACCENT) | 0, 1,
    0x34, AT_CARET, /* AltGr+Quote types ^ */

    /* after the dead key U+00A8 DIAERESIS, any level: keys; hold shift-left, lift blazon */
    0x0F, ASK_HOLD_SHIFT_LEFT_LIFT_BLAZON, MM_PAIR_OF(DEAD_DIAERESIS) | 0, 1,
    0x2C, AT_D2, /* Space types " */

    /* after the dead key U+00B4 ACUTE ACCENT, any level: keys; hold shift-left */
    0x0F, ASK_HOLD_SHIFT_LEFT, MM_PAIR_OF(DEAD_ACUTE_ACCENT) | 0, 1,
    0x2C, AT_D7, /* Space types ' */

    /* after the dead key U+02DA RING ABOVE, any level: keys; hold shift-left */
    0x0F, ASK_HOLD_SHIFT_LEFT, MM_PAIR_OF(DEAD_RING_ABOVE) | 0, 1,
    0x2C, AT_AT, /* Space types U+00B0 DEGREE SIGN */

    /* after the dead key U+02DA RING ABOVE, Shift+AltGr: keys; hold shift-left */
    0x08, ASK_HOLD_SHIFT_LEFT, MM_PAIR_OF(DEAD_RING_ABOVE) | 0, 1,
    0x2F, AT_AT, /* Shift+AltGr+BracketLeft types U+00B0 DEGREE SIGN */

    /* any level: keys; modifiers pass */
    0x0F, ASK_NOTHING, 0, 1,
    0x2C, AT_SPACE, /* Space types space */

    /* any level, takes back a pending dead key: keys; modifiers pass */
    0x0F, ASK_NOTHING, MM_TAKES_BACK | 0, 2,
    0x29, AT_ESCAPE, /* Escape types Escape */
    0x2A, AT_ERASE, /* Backspace types Backspace */

    /* any level, drops a pending dead key: keys; modifiers pass */
    0x0F, ASK_NOTHING, MM_DROPS | 0, 8,
    0x28, AT_RETURN, /* Enter types Enter */
    0x2B, AT_TAB, /* Tab types Tab */
    0x4C, AT_ERASE, /* Delete types Backspace */
    0x4F, AT_RIGHT, /* ArrowRight types ArrowRight */
    0x50, AT_LEFT, /* ArrowLeft types ArrowLeft */
    0x51, AT_DOWN, /* ArrowDown types ArrowDown */
    0x52, AT_UP, /* ArrowUp types ArrowUp */
    0x58, AT_RETURN, /* NumpadEnter types Enter */

    /* any level, drops a pending dead key: direct lines; modifiers pass */
    0x0F, ASK_NOTHING, MM_DROPS | 1, 1,
    0x48, AT_HAIL, /* Pause types Hail */

    /* any level: keys; lift shift */
    0x0F, ASK_LIFT_SHIFT, 0, 3,
    0x54, AT_SLASH, /* NumpadDivide types solidus */
    0x56, AT_MINUS, /* NumpadSubtract types - */
    0x85, AT_PERIOD, /* NumpadComma types . */

    /* any level: keys; hold shift-left */
    0x0F, ASK_HOLD_SHIFT_LEFT, 0, 5,
    0x55, AT_COLON, /* NumpadMultiply types asterisk */
    0x57, AT_SEMICOLON, /* NumpadAdd types + */
    0x67, AT_MINUS, /* NumpadEqual types = */
    0xB6, AT_D8, /* NumpadParenLeft types ( */
    0xB7, AT_D9, /* NumpadParenRight types ) */

    /* any level, drops a pending dead key: keys; lift helm, lift blazon */
    0x0F, ASK_LIFT_HELM_LIFT_BLAZON, MM_DROPS | 0, 3,
    0x3A, AT_B1, /* F1 types B1 */
    0x3B, AT_B2, /* F2 types B2 */
    0x3C, AT_B3, /* F3 types B3 */

    /* any level, drops a pending dead key: keys; hold helm, lift blazon */
    0x0F, ASK_HOLD_HELM_LIFT_BLAZON, MM_DROPS | 0, 3,
    0x3D, AT_B1, /* F4 types B4 */
    0x3E, AT_B2, /* F5 types B5 */
    0x3F, AT_B3, /* F6 types B6 */

    /* any level, drops a pending dead key: keys; hold blazon, lift helm */
    0x0F, ASK_HOLD_BLAZON_LIFT_HELM, MM_DROPS | 0, 3,
    0x40, AT_B1, /* F7 types B7 */
    0x41, AT_B2, /* F8 types B8 */
    0x42, AT_B3, /* F9 types B9 */

    /* plain: dead keys */
    0x01, ASK_NOTHING, 7, 2,
    0x2E, DEAD_ACUTE_ACCENT, /* Equal */
    0x35, DEAD_CIRCUMFLEX_ACCENT, /* Backquote */

    /* plain: keys; lift shift */
    0x01, ASK_LIFT_SHIFT, 0, 28,
    0x04, AT_A, /* KeyA types a */
    0x07, AT_D, /* KeyD types d */
    0x08, AT_E, /* KeyE types e */
    0x09, AT_F, /* KeyF types f */
    0x0A, AT_G, /* KeyG types g */
    0x0B, AT_H, /* KeyH types h */
    0x0C, AT_I, /* KeyI types i */
    0x0D, AT_J, /* KeyJ types j */
    0x0E, AT_K, /* KeyK types k */
    0x12, AT_O, /* KeyO types o */
    0x13, AT_P, /* KeyP types p */
    0x14, AT_Q, /* KeyQ types q */
    0x16, AT_S, /* KeyS types s */
    0x18, AT_U, /* KeyU types u */
    0x1A, AT_W, /* KeyW types w */
    0x1D, AT_Y, /* KeyZ types y */
    0x24, AT_D7, /* Digit7 types 7 */
    0x25, AT_D8, /* Digit8 types 8 */
    0x26, AT_D9, /* Digit9 types 9 */
    0x27, AT_D0, /* Digit0 types 0 */
    0x36, AT_COMMA, /* Comma types , */
    0x37, AT_PERIOD, /* Period types . */
    0x38, AT_MINUS, /* Slash types - */
    0x5F, AT_D7, /* Numpad7 (Num Lock on) types 7 */
    0x60, AT_D8, /* Numpad8 (Num Lock on) types 8 */
    0x61, AT_D9, /* Numpad9 (Num Lock on) types 9 */
    0x62, AT_D0, /* Numpad0 (Num Lock on) types 0 */
    0x63, AT_COMMA, /* NumpadDecimal (Num Lock on) types , */

    /* plain: keys; hold shift-left */
    0x01, ASK_HOLD_SHIFT_LEFT, 0, 2,
    0x30, AT_SEMICOLON, /* BracketRight types + */
    0x64, AT_COMMA, /* IntlBackslash types < */

    /* plain: keys; lift shift, lift blazon */
    0x01, ASK_LIFT_SHIFT_LIFT_BLAZON, 0, 22,
    0x05, AT_B, /* KeyB types b */
    0x06, AT_C, /* KeyC types c */
    0x0F, AT_L, /* KeyL types l */
    0x10, AT_M, /* KeyM types m */
    0x11, AT_N, /* KeyN types n */
    0x15, AT_R, /* KeyR types r */
    0x17, AT_T, /* KeyT types t */
    0x19, AT_V, /* KeyV types v */
    0x1B, AT_X, /* KeyX types x */
    0x1C, AT_Z, /* KeyY types z */
    0x1E, AT_D1, /* Digit1 types 1 */
    0x1F, AT_D2, /* Digit2 types 2 */
    0x20, AT_D3, /* Digit3 types 3 */
    0x21, AT_D4, /* Digit4 types 4 */
    0x22, AT_D5, /* Digit5 types 5 */
    0x23, AT_D6, /* Digit6 types 6 */
    0x59, AT_D1, /* Numpad1 (Num Lock on) types 1 */
    0x5A, AT_D2, /* Numpad2 (Num Lock on) types 2 */
    0x5B, AT_D3, /* Numpad3 (Num Lock on) types 3 */
    0x5C, AT_D4, /* Numpad4 (Num Lock on) types 4 */
    0x5D, AT_D5, /* Numpad5 (Num Lock on) types 5 */
    0x5E, AT_D6, /* Numpad6 (Num Lock on) types 6 */

    /* plain: keys; hold shift-left, lift blazon */
    0x01, ASK_HOLD_SHIFT_LEFT_LIFT_BLAZON, 0, 2,
    0x31, AT_D3, /* Backslash types # */
    0x32, AT_D3, /* Backslash types # */

    /* Shift: keys; modifiers pass */
    0x02, ASK_NOTHING, 0, 1,
    0x38, AT_UNDERSCORE, /* Shift+Slash types _ */

    /* Shift, drops a pending dead key: keys; modifiers pass */
    0x02, ASK_NOTHING, MM_DROPS | 0, 4,
    0x5A, AT_DOWN, /* Numpad2 (Num Lock off) types ArrowDown */
    0x5C, AT_LEFT, /* Numpad4 (Num Lock off) types ArrowLeft */
    0x5E, AT_RIGHT, /* Numpad6 (Num Lock off) types ArrowRight */
    0x60, AT_UP, /* Numpad8 (Num Lock off) types ArrowUp */

    /* Shift: keys; lift shift */
    0x02, ASK_LIFT_SHIFT, 0, 3,
    0x24, AT_SLASH, /* Shift+Digit7 types solidus */
    0x36, AT_SEMICOLON, /* Shift+Comma types ; */
    0x37, AT_COLON, /* Shift+Period types : */

    /* Shift: keys; hold shift-left */
    0x02, ASK_HOLD_SHIFT_LEFT, 0, 25,
    0x04, AT_A, /* Shift+KeyA types A */
    0x07, AT_D, /* Shift+KeyD types D */
    0x08, AT_E, /* Shift+KeyE types E */
    0x09, AT_F, /* Shift+KeyF types F */
    0x0A, AT_G, /* Shift+KeyG types G */
    0x0B, AT_H, /* Shift+KeyH types H */
    0x0C, AT_I, /* Shift+KeyI types I */
    0x0D, AT_J, /* Shift+KeyJ types J */
    0x0E, AT_K, /* Shift+KeyK types K */
    0x12, AT_O, /* Shift+KeyO types O */
    0x13, AT_P, /* Shift+KeyP types P */
    0x14, AT_Q, /* Shift+KeyQ types Q */
    0x16, AT_S, /* Shift+KeyS types S */
    0x18, AT_U, /* Shift+KeyU types U */
    0x1A, AT_W, /* Shift+KeyW types W */
    0x1D, AT_Y, /* Shift+KeyZ types Y */
    0x25, AT_D8, /* Shift+Digit8 types ( */
    0x26, AT_D9, /* Shift+Digit9 types ) */
    0x27, AT_MINUS, /* Shift+Digit0 types = */
    0x2D, AT_SLASH, /* Shift+Minus types question mark */
    0x30, AT_COLON, /* Shift+BracketRight types asterisk */
    0x31, AT_D7, /* Shift+Backslash types ' */
    0x32, AT_D7, /* Shift+Backslash types ' */
    0x35, AT_AT, /* Shift+Backquote types U+00B0 DEGREE SIGN */
    0x64, AT_PERIOD, /* Shift+IntlBackslash types > */

    /* Shift: keys; hold shift-left, lift blazon */
    0x02, ASK_HOLD_SHIFT_LEFT_LIFT_BLAZON, 0, 15,
    0x05, AT_B, /* Shift+KeyB types B */
    0x06, AT_C, /* Shift+KeyC types C */
    0x0F, AT_L, /* Shift+KeyL types L */
    0x10, AT_M, /* Shift+KeyM types M */
    0x11, AT_N, /* Shift+KeyN types N */
    0x15, AT_R, /* Shift+KeyR types R */
    0x17, AT_T, /* Shift+KeyT types T */
    0x19, AT_V, /* Shift+KeyV types V */
    0x1B, AT_X, /* Shift+KeyX types X */
    0x1C, AT_Z, /* Shift+KeyY types Z */
    0x1E, AT_D1, /* Shift+Digit1 types ! */
    0x1F, AT_D2, /* Shift+Digit2 types " */
    0x21, AT_D4, /* Shift+Digit4 types $ */
    0x22, AT_D5, /* Shift+Digit5 types % */
    0x23, AT_D6, /* Shift+Digit6 types & */

    /* AltGr: dead keys */
    0x04, ASK_NOTHING, 7, 2,
    0x2F, DEAD_DIAERESIS, /* AltGr+BracketLeft */
    0x34, DEAD_CIRCUMFLEX_ACCENT, /* AltGr+Quote */

    /* AltGr: keys; lift shift */
    0x04, ASK_LIFT_SHIFT, 0, 4,
    0x14, AT_AT, /* AltGr+KeyQ types @ */
    0x25, AT_BRACKET_LEFT, /* AltGr+Digit8 types [ */
    0x26, AT_BRACKET_RIGHT, /* AltGr+Digit9 types ] */
    0x2D, AT_BACKSLASH, /* AltGr+Minus types reverse solidus */

    /* AltGr: keys; hold shift-left */
    0x04, ASK_HOLD_SHIFT_LEFT, 0, 1,
    0x35, AT_BRACKET_LEFT, /* AltGr+Backquote types U+2032 PRIME */

    /* Shift+AltGr: dead keys */
    0x08, ASK_NOTHING, 7, 5,
    0x2F, DEAD_RING_ABOVE, /* Shift+AltGr+BracketLeft */
    0x31, DEAD_OTHER, /* Shift+AltGr+Backslash */
    0x32, DEAD_OTHER, /* Shift+AltGr+Backslash */
    0x34, DEAD_OTHER, /* Shift+AltGr+Quote */
    0x64, DEAD_OTHER, /* Shift+AltGr+IntlBackslash */

    /* Shift+AltGr: keys; hold shift-left */
    0x08, ASK_HOLD_SHIFT_LEFT, 0, 2,
    0x27, AT_AT, /* Shift+AltGr+Digit0 types U+00B0 DEGREE SIGN */
    0x35, AT_BACKSLASH, /* Shift+AltGr+Backquote types U+2033 DOUBLE PRIME */

    /* Shift+AltGr: keys; hold shift-left, lift blazon */
    0x08, ASK_HOLD_SHIFT_LEFT_LIFT_BLAZON, 0, 1,
    0x0E, AT_D6, /* Shift+AltGr+KeyK types & */

    /* Shift+AltGr: keys; hold blazon, lift shift */
    0x08, ASK_HOLD_BLAZON_LIFT_SHIFT, 0, 1,
    0x20, AT_L, /* Shift+AltGr+Digit3 types U+00A3 POUND SIGN */

    /* AltGr or Shift+AltGr: dead keys */
    0x0C, ASK_NOTHING, 7, 2,
    0x0D, DEAD_OTHER, /* AltGr+KeyJ */
    0x33, DEAD_OTHER, /* AltGr+Semicolon */

    /* Shift or AltGr or Shift+AltGr: dead keys */
    0x0E, ASK_NOTHING, 7, 1,
    0x2E, DEAD_OTHER, /* Shift+Equal */

    /* plain with Alt: keys; hold shift-left */
    0x41, ASK_HOLD_SHIFT_LEFT, 0, 4,
    0x04, AT_BRACKET_RIGHT, /* Alt+KeyA types U+2248 ALMOST EQUAL TO */
    0x07, AT_AT, /* Alt+KeyD types U+00B0 DEGREE SIGN */
    0x13, AT_BRACKET_LEFT, /* Alt+KeyP types U+2032 PRIME */
    0x16, AT_BACKSLASH, /* Alt+KeyS types U+2033 DOUBLE PRIME */

    /* plain with Alt: keys; hold blazon, lift shift */
    0x41, ASK_HOLD_BLAZON_LIFT_SHIFT, 0, 16,
    0x05, AT_B, /* Alt+KeyB types U+25A1 WHITE SQUARE */
    0x06, AT_C, /* Alt+KeyC types U+2606 WHITE STAR */
    0x0F, AT_L, /* Alt+KeyL types U+00A3 POUND SIGN */
    0x10, AT_M, /* Alt+KeyM types U+261E WHITE RIGHT POINTING INDEX */
    0x11, AT_N, /* Alt+KeyN types U+25D0 CIRCLE WITH LEFT HALF BLACK */
    0x15, AT_R, /* Alt+KeyR types U+21BB CLOCKWISE OPEN CIRCLE ARROW */
    0x17, AT_T, /* Alt+KeyT types U+25B7 WHITE RIGHT-POINTING TRIANGLE */
    0x19, AT_V, /* Alt+KeyV types U+2690 WHITE FLAG */
    0x1B, AT_X, /* Alt+KeyX types U+25C7 WHITE DIAMOND */
    0x1C, AT_Z, /* Alt+KeyY types U+25B3 WHITE UP-POINTING TRIANGLE */
    0x1E, AT_D1, /* Alt+Digit1 types U+2680 DIE FACE-1 */
    0x1F, AT_D2, /* Alt+Digit2 types U+2681 DIE FACE-2 */
    0x20, AT_D3, /* Alt+Digit3 types U+2682 DIE FACE-3 */
    0x21, AT_D4, /* Alt+Digit4 types U+2683 DIE FACE-4 */
    0x22, AT_D5, /* Alt+Digit5 types U+2684 DIE FACE-5 */
    0x23, AT_D6, /* Alt+Digit6 types U+2685 DIE FACE-6 */

    /* plain with Alt: keys; hold blazon, lift helm */
    0x41, ASK_HOLD_BLAZON_LIFT_HELM, 0, 3,
    0x3A, AT_B1, /* Alt+F1 types B7 */
    0x3B, AT_B2, /* Alt+F2 types B8 */
    0x3C, AT_B3, /* Alt+F3 types B9 */

    /* Shift with Alt: keys; hold shift-left, hold blazon */
    0x42, ASK_HOLD_SHIFT_LEFT_HOLD_BLAZON, 0, 7,
    0x05, AT_B, /* Shift+Alt+KeyB types U+25A0 BLACK SQUARE */
    0x06, AT_C, /* Shift+Alt+KeyC types U+2605 BLACK STAR */
    0x10, AT_M, /* Shift+Alt+KeyM types U+261B BLACK RIGHT POINTING INDEX */
    0x11, AT_N, /* Shift+Alt+KeyN types U+25D1 CIRCLE WITH RIGHT HALF BLACK */
    0x19, AT_V, /* Shift+Alt+KeyV types U+2691 BLACK FLAG */
    0x1B, AT_X, /* Shift+Alt+KeyX types U+25C6 BLACK DIAMOND */
    0x1C, AT_Z, /* Shift+Alt+KeyY types U+25B2 BLACK UP-POINTING TRIANGLE */

    /* Shift with Alt: keys; hold shift-right, hold blazon */
    0x42, ASK_HOLD_SHIFT_RIGHT_HOLD_BLAZON, 0, 2,
    0x15, AT_R, /* Shift+Alt+KeyR types U+21BA ANTICLOCKWISE OPEN CIRCLE ARROW */
    0x17, AT_T, /* Shift+Alt+KeyT types U+25B6 BLACK RIGHT-POINTING TRIANGLE */

    0x53, 0x0B, /* checksum of all bytes before it */
};
