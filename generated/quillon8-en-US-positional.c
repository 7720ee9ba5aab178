/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * quillon8-en-US-positional: Quillon 8, English (United States), positional
 * Made by matrixmap 0.1.0 from the layout of this name. Do not edit: change the layout and build again.
 * SHA-256 of the plan: 17a10ea32c45642584b4d14b359c15c6f994b16f84d739c98207e41f8ba2cdc9
 */
#include "quillon8-en-US-positional.h"
#include "mm_at_quillon8.h"

/* Demands: what a stroke asks of the modifiers, in the order of the table below. */
enum {
    ASK_NOTHING,
};

const uint8_t mm_quillon8_en_US_positional[MM_QUILLON8_EN_US_POSITIONAL_SIZE] MM_TABLE = {
    MM_TABLE_VERSION, 8, 8, 1, /* version; select, sense and direct lines */
    4, 1, 0, 0, 4, /* numbers of modifier keys, demands, Caps Lock ranges, chords, groups */
    0x2A, 2, /* flags: right Alt is Alt, phantom guard on, keys come back, runtime keeps Num Lock; rollover: that of the machine */
    35, 1, 31, 1, 5, 0, /* close time 291, open time 287, lead time 5, in units of 0.1 ms */
    0, AT_SHIFT_LEFT, /* modifier key 0: shift-left */
    0, AT_SHIFT_RIGHT, /* modifier key 1: shift-right */
    0, AT_HELM, /* modifier key 2: helm */
    0, AT_BLAZON, /* modifier key 3: blazon */
    0x00, 0x00, /* ASK_NOTHING */

    /* any level: modifiers, as masks of modifier keys */
    0x0F, ASK_NOTHING, 3, 5,
    0xE0, 0x04, /* ControlLeft: is helm (helm) */
    0xE1, 0x01, /* ShiftLeft: is shift (shift-left) */
    0xE2, 0x08, /* AltLeft: is blazon (blazon) */
    0xE4, 0x04, /* ControlRight: is helm (helm) */
    0xE5, 0x02, /* ShiftRight: is shift (shift-right) */

    /* any level: latches, as masks of modifier keys */
    0x0F, ASK_NOTHING, 4, 1,
    0x39, 0x08, /* CapsLock: sets and frees blazon-latch */

    /* any level: keys; modifiers pass */
    0x0F, ASK_NOTHING, 0, 61,
    0x04, AT_A, /* KeyA presses a */
    0x05, AT_B, /* KeyB presses b */
    0x06, AT_C, /* KeyC presses c */
    0x07, AT_D, /* KeyD presses d */
    0x08, AT_E, /* KeyE presses e */
    0x09, AT_F, /* KeyF presses f */
    0x0A, AT_G, /* KeyG presses g */
    0x0B, AT_H, /* KeyH presses h */
    0x0C, AT_I, /* KeyI presses i */
    0x0D, AT_J, /* KeyJ presses j */
    0x0E, AT_K, /* KeyK presses k */
    0x0F, AT_L, /* KeyL presses l */
    0x10, AT_M, /* KeyM presses m */
    0x11, AT_N, /* KeyN presses n */
    0x12, AT_O, /* KeyO presses o */
    0x13, AT_P, /* KeyP presses p */
    0x14, AT_Q, /* KeyQ presses q */
    0x15, AT_R, /* KeyR presses r */
    0x16, AT_S, /* KeyS presses s */
    0x17, AT_T, /* KeyT presses t */
    0x18, AT_U, /* KeyU presses u */
    0x19, AT_V, /* KeyV presses v */
    0x1A, AT_W, /* KeyW presses w */
    0x1B, AT_X, /* KeyX presses x */
    0x1C, AT_Y, /* KeyY presses y */
    0x1D, AT_Z, /* KeyZ presses z */
    0x1E, AT_D1, /* Digit1 presses 1 */
    0x1F, AT_D2, /* Digit2 presses 2 */
    0x20, AT_D3, /* Digit3 presses 3 */
    0x21, AT_D4, /* Digit4 presses 4 */
    0x22, AT_D5, /* Digit5 presses 5 */
    0x23, AT_D6, /* Digit6 presses 6 */
    0x24, AT_D7, /* Digit7 presses 7 */
    0x25, AT_D8, /* Digit8 presses 8 */
    0x26, AT_D9, /* Digit9 presses 9 */
    0x27, AT_D0, /* Digit0 presses 0 */
    0x28, AT_RETURN, /* Enter types Enter */
    0x29, AT_ESCAPE, /* Escape types Escape */
    0x2A, AT_ERASE, /* Backspace types Backspace */
    0x2B, AT_TAB, /* Tab types Tab */
    0x2C, AT_SPACE, /* Space types space */
    0x2D, AT_CARET, /* Minus types ^ */
    0x2E, AT_AT, /* Equal presses @ */
    0x2F, AT_MINUS, /* BracketLeft presses - */
    0x30, AT_SLASH, /* BracketRight presses solidus */
    0x31, AT_BACKSLASH, /* Backslash presses reverse solidus */
    0x32, AT_BACKSLASH, /* Backslash presses reverse solidus */
    0x33, AT_SEMICOLON, /* Semicolon presses ; */
    0x34, AT_COLON, /* Quote presses : */
    0x35, AT_BRACKET_LEFT, /* Backquote presses [ */
    0x36, AT_COMMA, /* Comma presses , */
    0x37, AT_PERIOD, /* Period presses . */
    0x38, AT_UNDERSCORE, /* Slash types _ */
    0x3A, AT_B1, /* F1 presses B1 */
    0x3B, AT_B2, /* F2 presses B2 */
    0x3C, AT_B3, /* F3 presses B3 */
    0x4F, AT_RIGHT, /* ArrowRight types ArrowRight */
    0x50, AT_LEFT, /* ArrowLeft types ArrowLeft */
    0x51, AT_DOWN, /* ArrowDown types ArrowDown */
    0x52, AT_UP, /* ArrowUp types ArrowUp */
    0xE6, AT_BRACKET_RIGHT, /* AltRight presses ] */

    /* any level: direct lines; modifiers pass */
    0x0F, ASK_NOTHING, 1, 1,
    0x48, AT_HAIL, /* Pause types Hail */

    0x91, 0x35, /* checksum of all bytes before it */
};
