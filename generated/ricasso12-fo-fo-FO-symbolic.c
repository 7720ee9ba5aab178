/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * ricasso12-fo-fo-FO-symbolic: Ricasso 12, Faroese, Faroese (Faroe Islands), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name. Do not edit: change the layout and build again.
 * SHA-256 of the plan: 24f7eb6fc5443282f8b877803bde665d346dd4e04d94031d8553de634ad341b8
 */
#include "ricasso12-fo-fo-FO-symbolic.h"
#include "mm_at_ricasso12-fo.h"

/* Demands: what a stroke asks of the modifiers, in the order of the table below. */
enum {
    ASK_NOTHING,
    ASK_LIFT_SHIFT,
    ASK_HOLD_SHIFT_LEFT,
    ASK_LIFT_SHIFT_LIFT_THIRD,
    ASK_HOLD_SHIFT_LEFT_LIFT_THIRD,
    ASK_HOLD_THIRD_LIFT_SHIFT,
    ASK_HOLD_SHIFT_LEFT_HOLD_THIRD,
};

/* Dead keys. All that compose nothing on this machine share one number. */
enum {
    DEAD_CIRCUMFLEX_ACCENT = 1,
    DEAD_GRAVE_ACCENT,
    DEAD_TILDE,
    DEAD_DIAERESIS,
    DEAD_ACUTE_ACCENT,
    DEAD_OTHER,
};

const uint8_t mm_ricasso12_fo_fo_FO_symbolic[MM_RICASSO12_FO_FO_FO_SYMBOLIC_SIZE] MM_TABLE = {
    MM_TABLE_VERSION, 12, 8, 2, /* version; select, sense and direct lines */
    4, 7, 0, 0, 44, /* numbers of modifier keys, demands, Caps Lock ranges, chords, groups */
    0x21, 255, /* flags: right Alt is AltGr, phantom guard off, runtime keeps Num Lock; rollover: no limit */
    195, 0, 123, 0, 14, 0, /* close time 195, open time 123, lead time 14, in units of 0.1 ms */
    0, AT_SHIFT_LEFT, /* modifier key 0: shift-left */
    0, AT_SHIFT_RIGHT, /* modifier key 1: shift-right */
    0, AT_THIRD, /* modifier key 2: third */
    0, AT_DUTY, /* modifier key 3: duty */
    0x00, 0x00, /* ASK_NOTHING */
    0x03, 0x00, /* ASK_LIFT_SHIFT */
    0x03, 0x01, /* ASK_HOLD_SHIFT_LEFT */
    0x07, 0x00, /* ASK_LIFT_SHIFT_LIFT_THIRD */
    0x07, 0x01, /* ASK_HOLD_SHIFT_LEFT_LIFT_THIRD */
    0x07, 0x04, /* ASK_HOLD_THIRD_LIFT_SHIFT */
    0x07, 0x05, /* ASK_HOLD_SHIFT_LEFT_HOLD_THIRD */

    /* any level: modifiers, as masks of modifier keys */
    0x0F, ASK_NOTHING, 3, 4,
    0xE0, 0x08, /* ControlLeft: is duty (duty) */
    0xE1, 0x01, /* ShiftLeft: is shift (shift-left) */
    0xE4, 0x08, /* ControlRight: is duty (duty) */
    0xE5, 0x02, /* ShiftRight: is shift (shift-right) */

    /* after the dead key ^, any level: keys; hold third, lift shift */
    0x0F, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_CIRCUMFLEX_ACCENT) | 0, 1,
    0x00, AT_APOSTROPHE, /* the accent alone types ^ */

    /* after the dead key ^, plain or Shift: keys; hold third, lift shift */
    0x03, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_CIRCUMFLEX_ACCENT) | 0, 1,
    0x2C, AT_APOSTROPHE, /* Space types ^ */

    /* after the dead key ^, AltGr: keys; hold third, lift shift */
    0x04, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_CIRCUMFLEX_ACCENT) | 0, 1,
    0x34, AT_APOSTROPHE, /* AltGr+Quote types ^ */

    /* after the dead key ^, Shift+AltGr: keys; hold third, lift shift */
    0x08, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_CIRCUMFLEX_ACCENT) | 0, 1,
    0x2F, AT_APOSTROPHE, /* Shift+AltGr+BracketLeft types ^ */

    /* after the dead key `, any level: keys; hold third, lift shift */
    0x0F, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_GRAVE_ACCENT) | 0, 1,
    0x00, AT_PERIOD, /* the accent alone types ` */

    /* after the dead key `, Shift: keys; hold third, lift shift */
    0x02, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_GRAVE_ACCENT) | 0, 1,
    0x2E, AT_PERIOD, /* Shift+Equal types ` */

    /* after the dead key `, plain or Shift: keys; hold third, lift shift */
    0x03, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_GRAVE_ACCENT) | 0, 1,
    0x2C, AT_PERIOD, /* Space types ` */

    /* after the dead key ~, any level: keys; hold third, lift shift */
    0x0F, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_TILDE) | 0, 1,
    0x00, AT_MINUS, /* the accent alone types ~ */

    /* after the dead key ~, plain or Shift: keys; hold third, lift shift */
    0x03, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_TILDE) | 0, 1,
    0x2C, AT_MINUS, /* Space types ~ */

    /* after the dead key ~, AltGr: keys; hold third, lift shift */
    0x04, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_TILDE) | 0, 1,
    0x30, AT_MINUS, /* AltGr+BracketRight types ~ */

    /* after the dead key U+00A8 DIAERESIS, plain or Shift: keys; hold shift-left, lift third */
    0x03, ASK_HOLD_SHIFT_LEFT_LIFT_THIRD, MM_PAIR_OF(DEAD_DIAERESIS) | 0, 1,
    0x2C, AT_D2, /* Space types " */

    /* after the dead key U+00B4 ACUTE ACCENT, plain: keys; hold third, lift shift */
    0x01, ASK_HOLD_THIRD_LIFT_SHIFT, MM_PAIR_OF(DEAD_ACUTE_ACCENT) | 0, 5,
    0x04, AT_A, /* KeyA types U+00E1 LATIN SMALL LETTER A WITH ACUTE */
    0x0C, AT_I, /* KeyI types U+00ED LATIN SMALL LETTER I WITH ACUTE */
    0x12, AT_O, /* KeyO types U+00F3 LATIN SMALL LETTER O WITH ACUTE */
    0x18, AT_U, /* KeyU types U+00FA LATIN SMALL LETTER U WITH ACUTE */
    0x1C, AT_Y, /* KeyY types U+00FD LATIN SMALL LETTER Y WITH ACUTE */

    /* after the dead key U+00B4 ACUTE ACCENT, Shift: keys; hold shift-left, hold third */
    0x02, ASK_HOLD_SHIFT_LEFT_HOLD_THIRD, MM_PAIR_OF(DEAD_ACUTE_ACCENT) | 0, 5,
    0x04, AT_A, /* Shift+KeyA types U+00C1 LATIN CAPITAL LETTER A WITH ACUTE */
    0x0C, AT_I, /* Shift+KeyI types U+00CD LATIN CAPITAL LETTER I WITH ACUTE */
    0x12, AT_O, /* Shift+KeyO types U+00D3 LATIN CAPITAL LETTER O WITH ACUTE */
    0x18, AT_U, /* Shift+KeyU types U+00DA LATIN CAPITAL LETTER U WITH ACUTE */
    0x1C, AT_Y, /* Shift+KeyY types U+00DD LATIN CAPITAL LETTER Y WITH ACUTE */

    /* after the dead key U+00B4 ACUTE ACCENT, plain or Shift: keys; lift shift, lift third */
    0x03, ASK_LIFT_SHIFT_LIFT_THIRD, MM_PAIR_OF(DEAD_ACUTE_ACCENT) | 0, 1,
    0x2C, AT_APOSTROPHE, /* Space types ' */

    /* any level: keys; modifiers pass */
    0x0F, ASK_NOTHING, 0, 2,
    0x56, AT_PAD_MINUS, /* NumpadSubtract types - */
    0x57, AT_PAD_PLUS, /* NumpadAdd types + */

    /* any level, keeps a pending dead key: keys; modifiers pass */
    0x0F, ASK_NOTHING, MM_KEEPS | 0, 1,
    0x39, AT_LOCK, /* CapsLock types CapsLock */

    /* any level, takes back a pending dead key: keys; modifiers pass */
    0x0F, ASK_NOTHING, MM_TAKES_BACK | 0, 2,
    0x29, AT_LEAVE, /* Escape types Escape */
    0x2A, AT_ERASE, /* Backspace types Backspace */

    /* any level, drops a pending dead key: keys; modifiers pass */
    0x0F, ASK_NOTHING, MM_DROPS | 0, 24,
    0x28, AT_RETURN, /* Enter types Enter */
    0x2B, AT_TAB, /* Tab types Tab */
    0x3A, AT_TRAY1, /* F1 types Tray1 */
    0x3B, AT_TRAY2, /* F2 types Tray2 */
    0x3C, AT_TRAY3, /* F3 types Tray3 */
    0x3D, AT_TRAY4, /* F4 types Tray4 */
    0x3E, AT_TRAY5, /* F5 types Tray5 */
    0x3F, AT_TRAY6, /* F6 types Tray6 */
    0x40, AT_TRAY7, /* F7 types Tray7 */
    0x41, AT_TRAY8, /* F8 types Tray8 */
    0x42, AT_TRAY9, /* F9 types Tray9 */
    0x43, AT_SEND, /* F10 types Send */
    0x46, AT_PRINT, /* PrintScreen types PrintScreen */
    0x49, AT_INSERT, /* Insert types Insert */
    0x4A, AT_HOME, /* Home types Home */
    0x4B, AT_PAGE_UP, /* PageUp types PageUp */
    0x4C, AT_DELETE, /* Delete types Delete */
    0x4D, AT_END, /* End types End */
    0x4E, AT_PAGE_DOWN, /* PageDown types PageDown */
    0x4F, AT_RIGHT, /* ArrowRight types ArrowRight */
    0x50, AT_LEFT, /* ArrowLeft types ArrowLeft */
    0x51, AT_DOWN, /* ArrowDown types ArrowDown */
    0x52, AT_UP, /* ArrowUp types ArrowUp */
    0x58, AT_PAD_ENTER, /* NumpadEnter types Enter */

    /* any level, drops a pending dead key: direct lines; modifiers pass */
    0x0F, ASK_NOTHING, MM_DROPS | 1, 2,
    0x44, AT_HUSH, /* F11 types Hush */
    0x48, AT_SUMMON, /* Pause types Summon */

    /* any level: keys; lift shift, lift third */
    0x0F, ASK_LIFT_SHIFT_LIFT_THIRD, 0, 1,
    0x85, AT_PERIOD, /* NumpadComma types . */

    /* any level: keys; hold shift-left, lift third */
    0x0F, ASK_HOLD_SHIFT_LEFT_LIFT_THIRD, 0, 5,
    0x54, AT_D7, /* NumpadDivide types solidus */
    0x55, AT_APOSTROPHE, /* NumpadMultiply types asterisk */
    0x67, AT_D0, /* NumpadEqual types = */
    0xB6, AT_D8, /* NumpadParenLeft types ( */
    0xB7, AT_D9, /* NumpadParenRight types ) */

    /* plain: keys; modifiers pass */
    0x01, ASK_NOTHING, 0, 11,
    0x59, AT_PAD1, /* Numpad1 (Num Lock on) types 1 */
    0x5A, AT_PAD2, /* Numpad2 (Num Lock on) types 2 */
    0x5B, AT_PAD3, /* Numpad3 (Num Lock on) types 3 */
    0x5C, AT_PAD4, /* Numpad4 (Num Lock on) types 4 */
    0x5D, AT_PAD5, /* Numpad5 (Num Lock on) types 5 */
    0x5E, AT_PAD6, /* Numpad6 (Num Lock on) types 6 */
    0x5F, AT_PAD7, /* Numpad7 (Num Lock on) types 7 */
    0x60, AT_PAD8, /* Numpad8 (Num Lock on) types 8 */
    0x61, AT_PAD9, /* Numpad9 (Num Lock on) types 9 */
    0x62, AT_PAD0, /* Numpad0 (Num Lock on) types 0 */
    0x63, AT_PAD_COMMA, /* NumpadDecimal (Num Lock on) types , */

    /* plain: dead keys */
    0x01, ASK_NOTHING, 7, 1,
    0x2E, DEAD_ACUTE_ACCENT, /* Equal */

    /* plain: keys; lift shift */
    0x01, ASK_LIFT_SHIFT, 0, 29,
    0x05, AT_B, /* KeyB types b */
    0x06, AT_C, /* KeyC types c */
    0x07, AT_D, /* KeyD types d */
    0x08, AT_E, /* KeyE types e */
    0x09, AT_F, /* KeyF types f */
    0x0A, AT_G, /* KeyG types g */
    0x0B, AT_H, /* KeyH types h */
    0x0D, AT_J, /* KeyJ types j */
    0x0E, AT_K, /* KeyK types k */
    0x0F, AT_L, /* KeyL types l */
    0x10, AT_M, /* KeyM types m */
    0x11, AT_N, /* KeyN types n */
    0x13, AT_P, /* KeyP types p */
    0x14, AT_Q, /* KeyQ types q */
    0x15, AT_R, /* KeyR types r */
    0x16, AT_S, /* KeyS types s */
    0x17, AT_T, /* KeyT types t */
    0x19, AT_V, /* KeyV types v */
    0x1A, AT_W, /* KeyW types w */
    0x1B, AT_X, /* KeyX types x */
    0x1D, AT_Z, /* KeyZ types z */
    0x1E, AT_D1, /* Digit1 types 1 */
    0x22, AT_D5, /* Digit5 types 5 */
    0x23, AT_D6, /* Digit6 types 6 */
    0x30, AT_ETH, /* BracketRight types U+00F0 LATIN SMALL LETTER ETH */
    0x33, AT_AE, /* Semicolon types U+00E6 LATIN SMALL LETTER AE */
    0x34, AT_OSLASH, /* Quote types U+00F8 LATIN SMALL LETTER O WITH STROKE */
    0x35, AT_HALF, /* Backquote types U+00BD VULGAR FRACTION ONE HALF */
    0x36, AT_COMMA, /* Comma types , */

    /* plain: keys; lift shift, lift third */
    0x01, ASK_LIFT_SHIFT_LIFT_THIRD, 0, 18,
    0x04, AT_A, /* KeyA types a */
    0x0C, AT_I, /* KeyI types i */
    0x12, AT_O, /* KeyO types o */
    0x18, AT_U, /* KeyU types u */
    0x1C, AT_Y, /* KeyY types y */
    0x1F, AT_D2, /* Digit2 types 2 */
    0x20, AT_D3, /* Digit3 types 3 */
    0x21, AT_D4, /* Digit4 types 4 */
    0x24, AT_D7, /* Digit7 types 7 */
    0x25, AT_D8, /* Digit8 types 8 */
    0x26, AT_D9, /* Digit9 types 9 */
    0x27, AT_D0, /* Digit0 types 0 */
    0x2D, AT_PLUS, /* Minus types + */
    0x31, AT_APOSTROPHE, /* Backslash types ' */
    0x32, AT_APOSTROPHE, /* Backslash types ' */
    0x37, AT_PERIOD, /* Period types . */
    0x38, AT_MINUS, /* Slash types - */
    0x64, AT_LESS, /* IntlBackslash types < */

    /* Shift, drops a pending dead key: keys; modifiers pass */
    0x02, ASK_NOTHING, MM_DROPS | 0, 11,
    0x59, AT_PAD1, /* Numpad1 (Num Lock off) types 1 */
    0x5A, AT_PAD2, /* Numpad2 (Num Lock off) types 2 */
    0x5B, AT_PAD3, /* Numpad3 (Num Lock off) types 3 */
    0x5C, AT_PAD4, /* Numpad4 (Num Lock off) types 4 */
    0x5D, AT_PAD5, /* Numpad5 (Num Lock off) types 5 */
    0x5E, AT_PAD6, /* Numpad6 (Num Lock off) types 6 */
    0x5F, AT_PAD7, /* Numpad7 (Num Lock off) types 7 */
    0x60, AT_PAD8, /* Numpad8 (Num Lock off) types 8 */
    0x61, AT_PAD9, /* Numpad9 (Num Lock off) types 9 */
    0x62, AT_PAD0, /* Numpad0 (Num Lock off) types 0 */
    0x63, AT_PAD_COMMA, /* NumpadDecimal (Num Lock off) types , */

    /* Shift: dead keys */
    0x02, ASK_NOTHING, 7, 1,
    0x2E, DEAD_GRAVE_ACCENT, /* Shift+Equal */

    /* Shift: keys; hold shift-left */
    0x02, ASK_HOLD_SHIFT_LEFT, 0, 29,
    0x05, AT_B, /* Shift+KeyB types B */
    0x06, AT_C, /* Shift+KeyC types C */
    0x07, AT_D, /* Shift+KeyD types D */
    0x08, AT_E, /* Shift+KeyE types E */
    0x09, AT_F, /* Shift+KeyF types F */
    0x0A, AT_G, /* Shift+KeyG types G */
    0x0B, AT_H, /* Shift+KeyH types H */
    0x0D, AT_J, /* Shift+KeyJ types J */
    0x0E, AT_K, /* Shift+KeyK types K */
    0x0F, AT_L, /* Shift+KeyL types L */
    0x10, AT_M, /* Shift+KeyM types M */
    0x11, AT_N, /* Shift+KeyN types N */
    0x13, AT_P, /* Shift+KeyP types P */
    0x14, AT_Q, /* Shift+KeyQ types Q */
    0x15, AT_R, /* Shift+KeyR types R */
    0x16, AT_S, /* Shift+KeyS types S */
    0x17, AT_T, /* Shift+KeyT types T */
    0x19, AT_V, /* Shift+KeyV types V */
    0x1A, AT_W, /* Shift+KeyW types W */
    0x1B, AT_X, /* Shift+KeyX types X */
    0x1D, AT_Z, /* Shift+KeyZ types Z */
    0x1E, AT_D1, /* Shift+Digit1 types ! */
    0x22, AT_D5, /* Shift+Digit5 types % */
    0x23, AT_D6, /* Shift+Digit6 types & */
    0x30, AT_ETH, /* Shift+BracketRight types U+00D0 LATIN CAPITAL LETTER ETH */
    0x33, AT_AE, /* Shift+Semicolon types U+00C6 LATIN CAPITAL LETTER AE */
    0x34, AT_OSLASH, /* Shift+Quote types U+00D8 LATIN CAPITAL LETTER O WITH STROKE */
    0x35, AT_HALF, /* Shift+Backquote types U+00A7 SECTION SIGN */
    0x36, AT_COMMA, /* Shift+Comma types ; */

    /* Shift: keys; hold shift-left, lift third */
    0x02, ASK_HOLD_SHIFT_LEFT_LIFT_THIRD, 0, 18,
    0x04, AT_A, /* Shift+KeyA types A */
    0x0C, AT_I, /* Shift+KeyI types I */
    0x12, AT_O, /* Shift+KeyO types O */
    0x18, AT_U, /* Shift+KeyU types U */
    0x1C, AT_Y, /* Shift+KeyY types Y */
    0x1F, AT_D2, /* Shift+Digit2 types " */
    0x20, AT_D3, /* Shift+Digit3 types # */
    0x21, AT_D4, /* Shift+Digit4 types U+00A4 CURRENCY SIGN */
    0x24, AT_D7, /* Shift+Digit7 types solidus */
    0x25, AT_D8, /* Shift+Digit8 types ( */
    0x26, AT_D9, /* Shift+Digit9 types ) */
    0x27, AT_D0, /* Shift+Digit0 types = */
    0x2D, AT_PLUS, /* Shift+Minus types question mark */
    0x31, AT_APOSTROPHE, /* Shift+Backslash types asterisk */
    0x32, AT_APOSTROPHE, /* Shift+Backslash types asterisk */
    0x37, AT_PERIOD, /* Shift+Period types : */
    0x38, AT_MINUS, /* Shift+Slash types _ */
    0x64, AT_LESS, /* Shift+IntlBackslash types > */

    /* plain or Shift: keys; modifiers pass */
    0x03, ASK_NOTHING, 0, 1,
    0x2C, AT_SPACE, /* Space types space */

    /* AltGr: dead keys */
    0x04, ASK_NOTHING, 7, 6,
    0x2F, DEAD_DIAERESIS, /* AltGr+BracketLeft */
    0x30, DEAD_TILDE, /* AltGr+BracketRight */
    0x31, DEAD_OTHER, /* AltGr+Backslash */
    0x32, DEAD_OTHER, /* AltGr+Backslash */
    0x33, DEAD_ACUTE_ACCENT, /* AltGr+Semicolon */
    0x34, DEAD_CIRCUMFLEX_ACCENT, /* AltGr+Quote */

    /* AltGr: keys; lift shift */
    0x04, ASK_LIFT_SHIFT, 0, 2,
    0x07, AT_ETH, /* AltGr+KeyD types U+00F0 LATIN SMALL LETTER ETH */
    0x22, AT_HALF, /* AltGr+Digit5 types U+00BD VULGAR FRACTION ONE HALF */

    /* AltGr: keys; hold third, lift shift */
    0x04, ASK_HOLD_THIRD_LIFT_SHIFT, 0, 10,
    0x14, AT_D2, /* AltGr+KeyQ types @ */
    0x1F, AT_D2, /* AltGr+Digit2 types @ */
    0x20, AT_D3, /* AltGr+Digit3 types U+00A3 POUND SIGN */
    0x21, AT_D4, /* AltGr+Digit4 types $ */
    0x24, AT_D7, /* AltGr+Digit7 types { */
    0x25, AT_D8, /* AltGr+Digit8 types [ */
    0x26, AT_D9, /* AltGr+Digit9 types ] */
    0x27, AT_D0, /* AltGr+Digit0 types } */
    0x2E, AT_LESS, /* AltGr+Equal types | */
    0x64, AT_PLUS, /* AltGr+IntlBackslash types reverse solidus */

    /* Shift+AltGr: dead keys */
    0x08, ASK_NOTHING, 7, 5,
    0x2F, DEAD_CIRCUMFLEX_ACCENT, /* Shift+AltGr+BracketLeft */
    0x30, DEAD_OTHER, /* Shift+AltGr+BracketRight */
    0x33, DEAD_OTHER, /* Shift+AltGr+Semicolon */
    0x34, DEAD_OTHER, /* Shift+AltGr+Quote */
    0x37, DEAD_OTHER, /* Shift+AltGr+Period */

    /* Shift+AltGr: keys; hold shift-left */
    0x08, ASK_HOLD_SHIFT_LEFT, 0, 3,
    0x07, AT_ETH, /* Shift+AltGr+KeyD types U+00D0 LATIN CAPITAL LETTER ETH */
    0x0E, AT_D6, /* Shift+AltGr+KeyK types & */
    0x1A, AT_HALF, /* Shift+AltGr+KeyW types U+00A7 SECTION SIGN */

    /* Shift+AltGr: keys; lift shift, lift third */
    0x08, ASK_LIFT_SHIFT_LIFT_THIRD, 0, 1,
    0x1D, AT_LESS, /* Shift+AltGr+KeyZ types < */

    /* Shift+AltGr: keys; hold shift-left, lift third */
    0x08, ASK_HOLD_SHIFT_LEFT_LIFT_THIRD, 0, 1,
    0x1B, AT_LESS, /* Shift+AltGr+KeyX types > */

    /* AltGr or Shift+AltGr: dead keys */
    0x0C, ASK_NOTHING, 7, 2,
    0x0D, DEAD_OTHER, /* AltGr+KeyJ */
    0x36, DEAD_OTHER, /* AltGr+Comma */

    /* plain with Alt: keys; lift shift */
    0x41, ASK_LIFT_SHIFT, 0, 4,
    0x2F, AT_ETH, /* Alt+BracketLeft types U+00F0 LATIN SMALL LETTER ETH */
    0x33, AT_AE, /* Alt+Semicolon types U+00E6 LATIN SMALL LETTER AE */
    0x34, AT_OSLASH, /* Alt+Quote types U+00F8 LATIN SMALL LETTER O WITH STROKE */
    0x35, AT_HALF, /* Alt+Backquote types U+00BD VULGAR FRACTION ONE HALF */

    /* plain with Alt: keys; hold shift-left, lift third */
    0x41, ASK_HOLD_SHIFT_LEFT_LIFT_THIRD, 0, 1,
    0x21, AT_D4, /* Alt+Digit4 types U+00A4 CURRENCY SIGN */

    /* plain with Alt: keys; hold third, lift shift */
    0x41, ASK_HOLD_THIRD_LIFT_SHIFT, 0, 17,
    0x04, AT_A, /* Alt+KeyA types U+00E1 LATIN SMALL LETTER A WITH ACUTE */
    0x0C, AT_I, /* Alt+KeyI types U+00ED LATIN SMALL LETTER I WITH ACUTE */
    0x12, AT_O, /* Alt+KeyO types U+00F3 LATIN SMALL LETTER O WITH ACUTE */
    0x18, AT_U, /* Alt+KeyU types U+00FA LATIN SMALL LETTER U WITH ACUTE */
    0x1C, AT_Y, /* Alt+KeyY types U+00FD LATIN SMALL LETTER Y WITH ACUTE */
    0x1F, AT_D2, /* Alt+Digit2 types @ */
    0x20, AT_D3, /* Alt+Digit3 types U+00A3 POUND SIGN */
    0x24, AT_D7, /* Alt+Digit7 types { */
    0x25, AT_D8, /* Alt+Digit8 types [ */
    0x26, AT_D9, /* Alt+Digit9 types ] */
    0x27, AT_D0, /* Alt+Digit0 types } */
    0x2D, AT_PLUS, /* Alt+Minus types reverse solidus */
    0x31, AT_APOSTROPHE, /* Alt+Backslash types ^ */
    0x32, AT_APOSTROPHE, /* Alt+Backslash types ^ */
    0x37, AT_PERIOD, /* Alt+Period types ` */
    0x38, AT_MINUS, /* Alt+Slash types ~ */
    0x64, AT_LESS, /* Alt+IntlBackslash types | */

    /* Shift with Alt: keys; hold shift-left */
    0x42, ASK_HOLD_SHIFT_LEFT, 0, 4,
    0x2F, AT_ETH, /* Shift+Alt+BracketLeft types U+00D0 LATIN CAPITAL LETTER ETH */
    0x33, AT_AE, /* Shift+Alt+Semicolon types U+00C6 LATIN CAPITAL LETTER AE */
    0x34, AT_OSLASH, /* Shift+Alt+Quote types U+00D8 LATIN CAPITAL LETTER O WITH STROKE */
    0x35, AT_HALF, /* Shift+Alt+Backquote types U+00A7 SECTION SIGN */

    /* Shift with Alt: keys; hold shift-left, hold third */
    0x42, ASK_HOLD_SHIFT_LEFT_HOLD_THIRD, 0, 5,
    0x04, AT_A, /* Shift+Alt+KeyA types U+00C1 LATIN CAPITAL LETTER A WITH ACUTE */
    0x0C, AT_I, /* Shift+Alt+KeyI types U+00CD LATIN CAPITAL LETTER I WITH ACUTE */
    0x12, AT_O, /* Shift+Alt+KeyO types U+00D3 LATIN CAPITAL LETTER O WITH ACUTE */
    0x18, AT_U, /* Shift+Alt+KeyU types U+00DA LATIN CAPITAL LETTER U WITH ACUTE */
    0x1C, AT_Y, /* Shift+Alt+KeyY types U+00DD LATIN CAPITAL LETTER Y WITH ACUTE */

    0x60, 0x2B, /* checksum of all bytes before it */
};
