/* SPDX-License-Identifier: MIT */
/*
 * ricasso12-fo-en-GB-positional: Ricasso 12, Faroese, English (United Kingdom), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: 827aeaf1546f0a849c033433bc8922d2ad748f584f605e32f3b7e35d69bbc214
 */
#include "ricasso12-fo-en-GB-positional.h"
#include "mm_at_ricasso12-fo.h"

/* What strokes ask of the modifiers, in the order of the table below. */
enum {
    ASK_NOTHING,
};

const uint8_t mm_ricasso12_fo_en_GB_positional[MM_RICASSO12_FO_EN_GB_POSITIONAL_SIZE] MM_TABLE = {
    MM_TABLE_VERSION, 12, 8, 2, /* version; select, sense and direct lines */
    4, 1, 0, 0, 3, /* how many: modifier keys, demands, caps ranges, chords, groups */
    0x25, 255, /* flags: right Alt is AltGr, phantom guard off, contacts: switch-with-diode, Num Lock kept here; rollover: none */
    195, 0, 123, 0, 14, 0, /* closed at least 195, open at least 123, modifiers lead by 14, in 0.1 ms */
    0, AT_SHIFT_LEFT, /* modifier key 0: shift-left */
    0, AT_SHIFT_RIGHT, /* modifier key 1: shift-right */
    0, AT_THIRD, /* modifier key 2: third */
    0, AT_DUTY, /* modifier key 3: duty */
    0x00, 0x00, /* ASK_NOTHING */

    /* any level: modifiers, by the mask of their keys */
    0x0F, ASK_NOTHING, 3, 4,
    0xE0, 0x08, /* ControlLeft: is duty (duty) */
    0xE1, 0x01, /* ShiftLeft: is shift (shift-left) */
    0xE5, 0x02, /* ShiftRight: is shift (shift-right) */
    0xE6, 0x04, /* AltRight: is third (third) */

    /* any level: keys; modifiers pass */
    0x0F, ASK_NOTHING, 0, 88,
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
    0x29, AT_LEAVE, /* Escape types Escape */
    0x2A, AT_ERASE, /* Backspace types Backspace */
    0x2B, AT_TAB, /* Tab types Tab */
    0x2C, AT_SPACE, /* Space types space */
    0x2D, AT_PLUS, /* Minus presses + */
    0x2F, AT_ETH, /* BracketLeft presses U+00F0 LATIN SMALL LETTER ETH */
    0x31, AT_APOSTROPHE, /* Backslash presses ' */
    0x32, AT_APOSTROPHE, /* Backslash presses ' */
    0x33, AT_AE, /* Semicolon presses U+00E6 LATIN SMALL LETTER AE */
    0x34, AT_OSLASH, /* Quote presses U+00F8 LATIN SMALL LETTER O WITH STROKE */
    0x35, AT_HALF, /* Backquote presses U+00BD VULGAR FRACTION ONE HALF */
    0x36, AT_COMMA, /* Comma presses , */
    0x37, AT_PERIOD, /* Period presses . */
    0x38, AT_MINUS, /* Slash presses - */
    0x39, AT_LOCK, /* CapsLock types CapsLock */
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
    0x56, AT_PAD_MINUS, /* NumpadSubtract types - */
    0x57, AT_PAD_PLUS, /* NumpadAdd types + */
    0x58, AT_PAD_ENTER, /* NumpadEnter types Enter */
    0x59, AT_PAD1, /* Numpad1 types 1 */
    0x5A, AT_PAD2, /* Numpad2 types 2 */
    0x5B, AT_PAD3, /* Numpad3 types 3 */
    0x5C, AT_PAD4, /* Numpad4 types 4 */
    0x5D, AT_PAD5, /* Numpad5 types 5 */
    0x5E, AT_PAD6, /* Numpad6 types 6 */
    0x5F, AT_PAD7, /* Numpad7 types 7 */
    0x60, AT_PAD8, /* Numpad8 types 8 */
    0x61, AT_PAD9, /* Numpad9 types 9 */
    0x62, AT_PAD0, /* Numpad0 types 0 */
    0x63, AT_PAD_COMMA, /* NumpadDecimal types , */
    0x64, AT_LESS, /* IntlBackslash presses < */

    /* any level: direct lines; modifiers pass */
    0x0F, ASK_NOTHING, 1, 2,
    0x44, AT_HUSH, /* F11 types Hush */
    0x48, AT_SUMMON, /* Pause types Summon */
};
