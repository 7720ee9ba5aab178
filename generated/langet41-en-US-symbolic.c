/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * langet41-en-US-symbolic: Langet 41, English (United States), symbolic
 * Made by matrixmap 0.1.0 from the layout of this name. Do not edit: change the layout and build again.
 * SHA-256 of the plan: 51dc3d9520f9435c041ca0d08976bcc3974b1bb2251b0307c048fc8237bb12ef
 */
#include "langet41-en-US-symbolic.h"
#include "mm_at_langet41.h"

/* Demands: what a stroke asks of the modifiers, in the order of the table below. */
enum {
    ASK_NOTHING,
    ASK_LIFT_EBB,
    ASK_HOLD_EBB,
    ASK_LIFT_FLOOD,
    ASK_HOLD_FLOOD,
    ASK_LIFT_EBB_LIFT_FLOOD,
    ASK_HOLD_EBB_LIFT_FLOOD,
    ASK_HOLD_FLOOD_LIFT_EBB,
    ASK_HOLD_EBB_HOLD_FLOOD,
};

/* Sequences: several strokes in a row, named by the first one. */
enum {
    SEQUENCE_1_EBB_B = 2,
    SEQUENCE_2_FLOOD_H,
    SEQUENCE_3_FLOOD_A,
    SEQUENCE_4_FLOOD_K,
};

const uint8_t mm_langet41_en_US_symbolic[MM_LANGET41_EN_US_SYMBOLIC_SIZE] MM_TABLE = {
    MM_TABLE_VERSION, 7, 6, 0, /* version; select, sense and direct lines */
    2, 9, 1, 0, 27, /* numbers of modifier keys, demands, Caps Lock ranges, chords, groups */
    0x72, 1, /* flags: right Alt is Alt, phantom guard on, runtime keeps Caps Lock, runtime keeps Num Lock, with sequences; rollover: that of the machine */
    102, 0, 29, 1, 8, 0, /* close time 102, open time 285, lead time 8, in units of 0.1 ms */
    0, AT_EBB, /* modifier key 0: ebb */
    0, AT_FLOOD, /* modifier key 1: flood */
    0x00, 0x00, /* ASK_NOTHING */
    0x01, 0x00, /* ASK_LIFT_EBB */
    0x01, 0x01, /* ASK_HOLD_EBB */
    0x02, 0x00, /* ASK_LIFT_FLOOD */
    0x02, 0x02, /* ASK_HOLD_FLOOD */
    0x03, 0x00, /* ASK_LIFT_EBB_LIFT_FLOOD */
    0x03, 0x01, /* ASK_HOLD_EBB_LIFT_FLOOD */
    0x03, 0x02, /* ASK_HOLD_FLOOD_LIFT_EBB */
    0x03, 0x03, /* ASK_HOLD_EBB_HOLD_FLOOD */
    0x04, 0x1D, 1, /* Caps Lock swaps plain with Shift: KeyA to KeyZ */

    /* any level: modifiers, as masks of modifier keys */
    0x0F, ASK_NOTHING, 3, 4,
    0xE0, 0x01, /* ControlLeft: is ebb (ebb) */
    0xE2, 0x02, /* AltLeft: is flood (flood) */
    0xE4, 0x01, /* ControlRight: is ebb (ebb) */
    0xE6, 0x02, /* AltRight: is flood (flood) */

    /* in the sequence after ebb + b, any level: keys; hold ebb, lift flood */
    0x0F, ASK_HOLD_EBB_LIFT_FLOOD, MM_PAIR_OF(SEQUENCE_1_EBB_B) | 0, 1,
    0x00, AT_B, /* the first stroke: ebb + b */

    /* in the sequence after ebb + b, Shift: dead keys and sequences */
    0x02, ASK_NOTHING, MM_PAIR_OF(SEQUENCE_1_EBB_B) | 7, 6,
    0x2D, MM_SEQUENCE | SEQUENCE_2_FLOOD_H, /* Shift+Minus: flood + h, then flood + h */
    0x2F, MM_SEQUENCE | SEQUENCE_3_FLOOD_A, /* Shift+BracketLeft: flood + a, then flood + h */
    0x30, MM_SEQUENCE | SEQUENCE_2_FLOOD_H, /* Shift+BracketRight: flood + h, then flood + s */
    0x31, MM_SEQUENCE | SEQUENCE_4_FLOOD_K, /* Shift+Backslash: flood + k, then flood + k */
    0x32, MM_SEQUENCE | SEQUENCE_4_FLOOD_K, /* Shift+Backslash: flood + k, then flood + k */
    0x35, MM_SEQUENCE | SEQUENCE_2_FLOOD_H, /* Shift+Backquote: flood + h, then flood + p */

    /* in the sequence after flood + h, any level: keys; hold flood, lift ebb */
    0x0F, ASK_HOLD_FLOOD_LIFT_EBB, MM_PAIR_OF(SEQUENCE_2_FLOOD_H) | 0, 1,
    0x00, AT_H, /* the first stroke: flood + h */

    /* in the sequence after flood + h, Shift: keys; hold flood, lift ebb */
    0x02, ASK_HOLD_FLOOD_LIFT_EBB, MM_PAIR_OF(SEQUENCE_2_FLOOD_H) | 0, 3,
    0x2D, AT_H, /* Shift+Minus: flood + h */
    0x30, AT_S, /* Shift+BracketRight: flood + s */
    0x35, AT_P, /* Shift+Backquote: flood + p */

    /* in the sequence after flood + a, any level: keys; hold flood, lift ebb */
    0x0F, ASK_HOLD_FLOOD_LIFT_EBB, MM_PAIR_OF(SEQUENCE_3_FLOOD_A) | 0, 1,
    0x00, AT_A, /* the first stroke: flood + a */

    /* in the sequence after flood + a, Shift: keys; hold flood, lift ebb */
    0x02, ASK_HOLD_FLOOD_LIFT_EBB, MM_PAIR_OF(SEQUENCE_3_FLOOD_A) | 0, 1,
    0x2F, AT_H, /* Shift+BracketLeft: flood + h */

    /* in the sequence after flood + k, any level: keys; hold flood, lift ebb */
    0x0F, ASK_HOLD_FLOOD_LIFT_EBB, MM_PAIR_OF(SEQUENCE_4_FLOOD_K) | 0, 1,
    0x00, AT_K, /* the first stroke: flood + k */

    /* in the sequence after flood + k, Shift: keys; hold flood, lift ebb */
    0x02, ASK_HOLD_FLOOD_LIFT_EBB, MM_PAIR_OF(SEQUENCE_4_FLOOD_K) | 0, 2,
    0x31, AT_K, /* Shift+Backslash: flood + k */
    0x32, AT_K, /* Shift+Backslash: flood + k */

    /* any level: keys; modifiers pass */
    0x0F, ASK_NOTHING, 0, 3,
    0x28, AT_ENTER, /* Enter types Enter */
    0x2C, AT_SPACE, /* Space types space */
    0x58, AT_ENTER, /* NumpadEnter types Enter */

    /* any level: keys; lift ebb */
    0x0F, ASK_LIFT_EBB, 0, 1,
    0x2A, AT_ERASE, /* Backspace types Backspace */

    /* any level: keys; hold ebb */
    0x0F, ASK_HOLD_EBB, 0, 1,
    0x29, AT_ERASE, /* Escape types Stop */

    /* any level: keys; lift flood */
    0x0F, ASK_LIFT_FLOOD, 0, 1,
    0x14, AT_Q, /* KeyQ types Q */

    /* any level: keys; lift ebb, lift flood */
    0x0F, ASK_LIFT_EBB_LIFT_FLOOD, 0, 25,
    0x04, AT_A, /* KeyA types A */
    0x05, AT_B, /* KeyB types B */
    0x06, AT_C, /* KeyC types C */
    0x07, AT_D, /* KeyD types D */
    0x08, AT_E, /* KeyE types E */
    0x09, AT_F, /* KeyF types F */
    0x0A, AT_G, /* KeyG types G */
    0x0B, AT_H, /* KeyH types H */
    0x0C, AT_I, /* KeyI types I */
    0x0D, AT_J, /* KeyJ types J */
    0x0E, AT_K, /* KeyK types K */
    0x0F, AT_L, /* KeyL types L */
    0x10, AT_M, /* KeyM types M */
    0x11, AT_N, /* KeyN types N */
    0x12, AT_O, /* KeyO types O */
    0x13, AT_P, /* KeyP types P */
    0x15, AT_R, /* KeyR types R */
    0x16, AT_S, /* KeyS types S */
    0x17, AT_T, /* KeyT types T */
    0x18, AT_U, /* KeyU types U */
    0x19, AT_V, /* KeyV types V */
    0x1A, AT_W, /* KeyW types W */
    0x1B, AT_X, /* KeyX types X */
    0x1C, AT_Y, /* KeyY types Y */
    0x1D, AT_Z, /* KeyZ types Z */

    /* any level: keys; hold ebb, lift flood */
    0x0F, ASK_HOLD_EBB_LIFT_FLOOD, 0, 1,
    0x3A, AT_B, /* F1 types Join */

    /* any level: keys; hold flood, lift ebb */
    0x0F, ASK_HOLD_FLOOD_LIFT_EBB, 0, 8,
    0x54, AT_K, /* NumpadDivide types solidus */
    0x55, AT_D, /* NumpadMultiply types asterisk */
    0x56, AT_H, /* NumpadSubtract types - */
    0x57, AT_F, /* NumpadAdd types + */
    0x67, AT_E, /* NumpadEqual types = */
    0x85, AT_J, /* NumpadComma types . */
    0xB6, AT_A, /* NumpadParenLeft types ( */
    0xB7, AT_S, /* NumpadParenRight types ) */

    /* any level: keys; hold ebb, hold flood */
    0x0F, ASK_HOLD_EBB_HOLD_FLOOD, 0, 4,
    0x4F, AT_H, /* ArrowRight types ArrowRight */
    0x50, AT_G, /* ArrowLeft types ArrowLeft */
    0x51, AT_B, /* ArrowDown types ArrowDown */
    0x52, AT_Y, /* ArrowUp types ArrowUp */

    /* plain: keys; hold flood */
    0x01, ASK_HOLD_FLOOD, 0, 1,
    0x33, AT_Q, /* Semicolon types ; */

    /* plain: keys; lift ebb, lift flood */
    0x01, ASK_LIFT_EBB_LIFT_FLOOD, 0, 20,
    0x1E, AT_D1, /* Digit1 types 1 */
    0x1F, AT_D2, /* Digit2 types 2 */
    0x20, AT_D3, /* Digit3 types 3 */
    0x21, AT_D4, /* Digit4 types 4 */
    0x22, AT_D5, /* Digit5 types 5 */
    0x23, AT_D6, /* Digit6 types 6 */
    0x24, AT_D7, /* Digit7 types 7 */
    0x25, AT_D8, /* Digit8 types 8 */
    0x26, AT_D9, /* Digit9 types 9 */
    0x27, AT_D0, /* Digit0 types 0 */
    0x59, AT_D1, /* Numpad1 (Num Lock on) types 1 */
    0x5A, AT_D2, /* Numpad2 (Num Lock on) types 2 */
    0x5B, AT_D3, /* Numpad3 (Num Lock on) types 3 */
    0x5C, AT_D4, /* Numpad4 (Num Lock on) types 4 */
    0x5D, AT_D5, /* Numpad5 (Num Lock on) types 5 */
    0x5E, AT_D6, /* Numpad6 (Num Lock on) types 6 */
    0x5F, AT_D7, /* Numpad7 (Num Lock on) types 7 */
    0x60, AT_D8, /* Numpad8 (Num Lock on) types 8 */
    0x61, AT_D9, /* Numpad9 (Num Lock on) types 9 */
    0x62, AT_D0, /* Numpad0 (Num Lock on) types 0 */

    /* plain: keys; hold flood, lift ebb */
    0x01, ASK_HOLD_FLOOD_LIFT_EBB, 0, 11,
    0x2D, AT_H, /* Minus types - */
    0x2E, AT_E, /* Equal types = */
    0x2F, AT_U, /* BracketLeft types [ */
    0x30, AT_O, /* BracketRight types ] */
    0x31, AT_I, /* Backslash types reverse solidus */
    0x32, AT_I, /* Backslash types reverse solidus */
    0x34, AT_M, /* Quote types ' */
    0x36, AT_G, /* Comma types , */
    0x37, AT_J, /* Period types . */
    0x38, AT_K, /* Slash types solidus */
    0x63, AT_J, /* NumpadDecimal (Num Lock on) types . */

    /* Shift: dead keys and sequences */
    0x02, ASK_NOTHING, 7, 6,
    0x2D, MM_SEQUENCE | SEQUENCE_1_EBB_B, /* Shift+Minus types _ */
    0x2F, MM_SEQUENCE | SEQUENCE_1_EBB_B, /* Shift+BracketLeft types { */
    0x30, MM_SEQUENCE | SEQUENCE_1_EBB_B, /* Shift+BracketRight types } */
    0x31, MM_SEQUENCE | SEQUENCE_1_EBB_B, /* Shift+Backslash types | */
    0x32, MM_SEQUENCE | SEQUENCE_1_EBB_B, /* Shift+Backslash types | */
    0x35, MM_SEQUENCE | SEQUENCE_1_EBB_B, /* Shift+Backquote types ~ */

    /* Shift: keys; hold flood, lift ebb */
    0x02, ASK_HOLD_FLOOD_LIFT_EBB, 0, 16,
    0x1E, AT_Z, /* Shift+Digit1 types ! */
    0x1F, AT_Y, /* Shift+Digit2 types @ */
    0x20, AT_C, /* Shift+Digit3 types # */
    0x21, AT_V, /* Shift+Digit4 types $ */
    0x22, AT_B, /* Shift+Digit5 types % */
    0x23, AT_P, /* Shift+Digit6 types ^ */
    0x24, AT_N, /* Shift+Digit7 types & */
    0x25, AT_D, /* Shift+Digit8 types asterisk */
    0x26, AT_A, /* Shift+Digit9 types ( */
    0x27, AT_S, /* Shift+Digit0 types ) */
    0x2E, AT_F, /* Shift+Equal types + */
    0x33, AT_L, /* Shift+Semicolon types : */
    0x34, AT_X, /* Shift+Quote types " */
    0x36, AT_W, /* Shift+Comma types < */
    0x37, AT_R, /* Shift+Period types > */
    0x38, AT_T, /* Shift+Slash types question mark */

    /* Shift: keys; hold ebb, hold flood */
    0x02, ASK_HOLD_EBB_HOLD_FLOOD, 0, 4,
    0x5A, AT_B, /* Numpad2 (Num Lock off) types ArrowDown */
    0x5C, AT_G, /* Numpad4 (Num Lock off) types ArrowLeft */
    0x5E, AT_H, /* Numpad6 (Num Lock off) types ArrowRight */
    0x60, AT_Y, /* Numpad8 (Num Lock off) types ArrowUp */

    /* plain with Control: keys; hold ebb */
    0x11, ASK_HOLD_EBB, 0, 1,
    0x2A, AT_ERASE, /* Control+Backspace types Stop */

    /* plain with Control: keys; hold ebb, lift flood */
    0x11, ASK_HOLD_EBB_LIFT_FLOOD, 0, 34,
    0x04, AT_A, /* Control+KeyA types U+00C5 LATIN CAPITAL LETTER A WITH RING ABOVE */
    0x05, AT_B, /* Control+KeyB types Join */
    0x06, AT_C, /* Control+KeyC types U+00B0 DEGREE SIGN */
    0x07, AT_D, /* Control+KeyD types U+0394 GREEK CAPITAL LETTER DELTA */
    0x08, AT_E, /* Control+KeyE types U+21CC RIGHTWARDS HARPOON OVER LEFTWARDS HARPOON */
    0x09, AT_F, /* Control+KeyF types U+03A6 GREEK CAPITAL LETTER PHI */
    0x0A, AT_G, /* Control+KeyG types U+0393 GREEK CAPITAL LETTER GAMMA */
    0x0C, AT_I, /* Control+KeyI types U+221E INFINITY */
    0x0D, AT_J, /* Control+KeyJ types U+00F7 DIVISION SIGN */
    0x0E, AT_K, /* Control+KeyK types U+2264 LESS-THAN OR EQUAL TO */
    0x0F, AT_L, /* Control+KeyL types U+039B GREEK CAPITAL LETTER LAMDA */
    0x10, AT_M, /* Control+KeyM types U+00B5 MICRO SIGN */
    0x11, AT_N, /* Control+KeyN types U+2260 NOT EQUAL TO */
    0x12, AT_O, /* Control+KeyO types U+03A9 GREEK CAPITAL LETTER OMEGA */
    0x13, AT_P, /* Control+KeyP types U+03A0 GREEK CAPITAL LETTER PI */
    0x15, AT_R, /* Control+KeyR types U+2192 RIGHTWARDS ARROW */
    0x16, AT_S, /* Control+KeyS types U+03A3 GREEK CAPITAL LETTER SIGMA */
    0x17, AT_T, /* Control+KeyT types U+0398 GREEK CAPITAL LETTER THETA */
    0x18, AT_U, /* Control+KeyU types U+222A UNION */
    0x19, AT_V, /* Control+KeyV types U+221A SQUARE ROOT */
    0x1A, AT_W, /* Control+KeyW types U+2265 GREATER-THAN OR EQUAL TO */
    0x1B, AT_X, /* Control+KeyX types U+00D7 MULTIPLICATION SIGN */
    0x1C, AT_Y, /* Control+KeyY types U+03A8 GREEK CAPITAL LETTER PSI */
    0x1D, AT_Z, /* Control+KeyZ types U+2205 EMPTY SET */
    0x1E, AT_D1, /* Control+Digit1 types U+00B9 SUPERSCRIPT ONE */
    0x1F, AT_D2, /* Control+Digit2 types U+00B2 SUPERSCRIPT TWO */
    0x20, AT_D3, /* Control+Digit3 types U+00B3 SUPERSCRIPT THREE */
    0x21, AT_D4, /* Control+Digit4 types U+2074 SUPERSCRIPT FOUR */
    0x22, AT_D5, /* Control+Digit5 types U+2075 SUPERSCRIPT FIVE */
    0x23, AT_D6, /* Control+Digit6 types U+2076 SUPERSCRIPT SIX */
    0x24, AT_D7, /* Control+Digit7 types U+2077 SUPERSCRIPT SEVEN */
    0x25, AT_D8, /* Control+Digit8 types U+2078 SUPERSCRIPT EIGHT */
    0x26, AT_D9, /* Control+Digit9 types U+2079 SUPERSCRIPT NINE */
    0x27, AT_D0, /* Control+Digit0 types U+2070 SUPERSCRIPT ZERO */

    /* plain with Alt: keys; hold flood */
    0x41, ASK_HOLD_FLOOD, 0, 1,
    0x14, AT_Q, /* Alt+KeyQ types ; */

    /* plain with Alt: keys; hold flood, lift ebb */
    0x41, ASK_HOLD_FLOOD_LIFT_EBB, 0, 35,
    0x04, AT_A, /* Alt+KeyA types ( */
    0x05, AT_B, /* Alt+KeyB types % */
    0x06, AT_C, /* Alt+KeyC types # */
    0x07, AT_D, /* Alt+KeyD types asterisk */
    0x08, AT_E, /* Alt+KeyE types = */
    0x09, AT_F, /* Alt+KeyF types + */
    0x0A, AT_G, /* Alt+KeyG types , */
    0x0B, AT_H, /* Alt+KeyH types - */
    0x0C, AT_I, /* Alt+KeyI types reverse solidus */
    0x0D, AT_J, /* Alt+KeyJ types . */
    0x0E, AT_K, /* Alt+KeyK types solidus */
    0x0F, AT_L, /* Alt+KeyL types : */
    0x10, AT_M, /* Alt+KeyM types ' */
    0x11, AT_N, /* Alt+KeyN types & */
    0x12, AT_O, /* Alt+KeyO types ] */
    0x13, AT_P, /* Alt+KeyP types ^ */
    0x15, AT_R, /* Alt+KeyR types > */
    0x16, AT_S, /* Alt+KeyS types ) */
    0x17, AT_T, /* Alt+KeyT types question mark */
    0x18, AT_U, /* Alt+KeyU types [ */
    0x19, AT_V, /* Alt+KeyV types $ */
    0x1A, AT_W, /* Alt+KeyW types < */
    0x1B, AT_X, /* Alt+KeyX types " */
    0x1C, AT_Y, /* Alt+KeyY types @ */
    0x1D, AT_Z, /* Alt+KeyZ types ! */
    0x1E, AT_D1, /* Alt+Digit1 types U+2081 SUBSCRIPT ONE */
    0x1F, AT_D2, /* Alt+Digit2 types U+2082 SUBSCRIPT TWO */
    0x20, AT_D3, /* Alt+Digit3 types U+2083 SUBSCRIPT THREE */
    0x21, AT_D4, /* Alt+Digit4 types U+2084 SUBSCRIPT FOUR */
    0x22, AT_D5, /* Alt+Digit5 types U+2085 SUBSCRIPT FIVE */
    0x23, AT_D6, /* Alt+Digit6 types U+2086 SUBSCRIPT SIX */
    0x24, AT_D7, /* Alt+Digit7 types U+2087 SUBSCRIPT SEVEN */
    0x25, AT_D8, /* Alt+Digit8 types U+2088 SUBSCRIPT EIGHT */
    0x26, AT_D9, /* Alt+Digit9 types U+2089 SUBSCRIPT NINE */
    0x27, AT_D0, /* Alt+Digit0 types U+2080 SUBSCRIPT ZERO */

    0xB6, 0x83, /* checksum of all bytes before it */
};
