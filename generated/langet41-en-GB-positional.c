/* SPDX-License-Identifier: MIT */
/*
 * langet41-en-GB-positional: Langet 41, English (United Kingdom), positional
 * Made by matrixmap 0.1.0 from the layout of this name; change that and build again.
 * SHA-256 of the plan: f776fa55080935788624523b4474880c0ca0178a374131ea9b54555a666262ad
 */
#include "langet41-en-GB-positional.h"
#include "mm_at_langet41.h"

/* What strokes ask of the modifiers, in the order of the table below. */
enum {
    ASK_NOTHING,
    ASK_HOLD_EBB_HOLD_FLOOD,
};

const uint8_t mm_langet41_en_GB_positional[MM_LANGET41_EN_GB_POSITIONAL_SIZE] MM_TABLE = {
    MM_TABLE_VERSION, 7, 6, 0, /* version; select, sense and direct lines */
    2, 2, 0, 0, 3, /* how many: modifier keys, demands, caps ranges, chords, groups */
    0x33, 1, /* flags: right Alt is AltGr, phantom guard on, contacts: switch, Caps Lock kept here, Num Lock kept here; rollover: of the machine */
    102, 0, 29, 1, 8, 0, /* closed at least 102, open at least 285, modifiers lead by 8, in 0.1 ms */
    0, AT_EBB, /* modifier key 0: ebb */
    0, AT_FLOOD, /* modifier key 1: flood */
    0x00, 0x00, /* ASK_NOTHING */
    0x03, 0x03, /* ASK_HOLD_EBB_HOLD_FLOOD */

    /* any level: modifiers, by the mask of their keys */
    0x0F, ASK_NOTHING, 3, 2,
    0xE1, 0x01, /* ShiftLeft: is ebb (ebb) */
    0xE5, 0x02, /* ShiftRight: is flood (flood) */

    /* any level: keys; modifiers pass */
    0x0F, ASK_NOTHING, 0, 39,
    0x04, AT_A, /* KeyA presses A */
    0x05, AT_B, /* KeyB presses B */
    0x06, AT_C, /* KeyC presses C */
    0x07, AT_D, /* KeyD presses D */
    0x08, AT_E, /* KeyE presses E */
    0x09, AT_F, /* KeyF presses F */
    0x0A, AT_G, /* KeyG presses G */
    0x0B, AT_H, /* KeyH presses H */
    0x0C, AT_I, /* KeyI presses I */
    0x0D, AT_J, /* KeyJ presses J */
    0x0E, AT_K, /* KeyK presses K */
    0x0F, AT_L, /* KeyL presses L */
    0x10, AT_M, /* KeyM presses M */
    0x11, AT_N, /* KeyN presses N */
    0x12, AT_O, /* KeyO presses O */
    0x13, AT_P, /* KeyP presses P */
    0x14, AT_Q, /* KeyQ presses Q */
    0x15, AT_R, /* KeyR presses R */
    0x16, AT_S, /* KeyS presses S */
    0x17, AT_T, /* KeyT presses T */
    0x18, AT_U, /* KeyU presses U */
    0x19, AT_V, /* KeyV presses V */
    0x1A, AT_W, /* KeyW presses W */
    0x1B, AT_X, /* KeyX presses X */
    0x1C, AT_Y, /* KeyY presses Y */
    0x1D, AT_Z, /* KeyZ presses Z */
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
    0x28, AT_ENTER, /* Enter types Enter */
    0x2A, AT_ERASE, /* Backspace presses Backspace */
    0x2C, AT_SPACE, /* Space types space */

    /* any level: keys; hold ebb, hold flood */
    0x0F, ASK_HOLD_EBB_HOLD_FLOOD, 0, 4,
    0x4F, AT_H, /* ArrowRight types ArrowRight */
    0x50, AT_G, /* ArrowLeft types ArrowLeft */
    0x51, AT_B, /* ArrowDown types ArrowDown */
    0x52, AT_Y, /* ArrowUp types ArrowUp */
};
