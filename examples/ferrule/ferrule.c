/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * The firmware of the Ferrule but for chip and wires: reports from interrupts to the runtime, contacts and LEDs from the
 * runtime to the outside, commands, and the layout kept over a reset. docs/firmware.md tells why each part is as it is.
 */
#include "ferrule.h"

#include <string.h>

#include "mm_keyboard_visitor.h"
#include "mm_layouts.h"

#if MM_KEYBOARDS != 2
#error "the Ferrule has two keyboards: set MM_KEYBOARDS to 2"
#endif

static mm_state state;
static mm_report_state described;

/* Keeps the compiler from moving what is written to the queue behind what says that it is there. */
#define IN_ORDER() __asm__ volatile("" ::: "memory")

/* ---- From interrupts to the loop ---- */

#define PLACES 8u /* one of them stays empty */

static struct {
    uint8_t keyboard;
    uint8_t length; /* 0: the link is lost */
    uint8_t bytes[REPORT_BYTES];
} queue[PLACES];
static volatile uint8_t first, behind;
static volatile bool lost[KEYBOARDS];     /* the queue was full: nobody knows what is down */
static volatile bool leds_due[KEYBOARDS]; /* a keyboard that connects has its LEDs dark */
static volatile uint16_t ticks;

void on_tick(void)
{
    ticks++;
}

static void join_queue(uint8_t keyboard, const uint8_t *bytes, uint8_t length)
{
    uint8_t at = behind;
    uint8_t next = (uint8_t)((at + 1u) % PLACES);

    if (keyboard >= KEYBOARDS) {
        return;
    }
    if (next == first) {
        lost[keyboard] = true;
        return;
    }
    queue[at].keyboard = keyboard;
    queue[at].length = length;
    memcpy(queue[at].bytes, bytes, length);
    IN_ORDER();
    behind = next;
}

void on_report(uint8_t keyboard, const uint8_t *report, uint8_t length)
{
    if (length != 0u) {
        join_queue(keyboard, report, length < REPORT_BYTES ? length : (uint8_t)REPORT_BYTES);
    }
}

void on_link_lost(uint8_t keyboard)
{
    static const uint8_t nothing[1] = {0};

    join_queue(keyboard, nothing, 0);
}

void on_connected(uint8_t keyboard)
{
    if (keyboard < KEYBOARDS) {
        leds_due[keyboard] = true;
    }
}

static bool anything_waits(void)
{
    uint8_t keyboard;
    bool waits = first != behind;

    for (keyboard = 0; keyboard < KEYBOARDS; keyboard++) {
        waits = waits || lost[keyboard] || leds_due[keyboard];
    }
    return waits;
}

static uint16_t clock_now(void)
{
    uint16_t read;

    board_interrupts_off(); /* an 8-bit chip reads it in two steps */
    read = ticks;
    board_interrupts_on();
    return read;
}

/* ---- Input: one event of the queue to the runtime ---- */

static void let_go(uint8_t keyboard)
{
    if (keyboard == DESCRIBED_KEYBOARD) {
        mm_report_disconnected(&described);
    }
    mm_disconnected(&state, keyboard);
}

static void take_report(uint8_t keyboard, const uint8_t *bytes, uint8_t length)
{
    uint8_t down[32];

    if (keyboard == BOOT_KEYBOARD) {
        (void)mm_boot_report(&state, keyboard, bytes, length);
    } else if (mm_report_keys(&described, bytes, length, down) <= MM_REPORT_ROLLED) {
        (void)mm_usages(&state, keyboard, down);
    }
}

static bool take_event(void)
{
    uint8_t at = first;
    uint8_t keyboard;

    if (at != behind) {
        keyboard = queue[at].keyboard;
        if (queue[at].length != 0u) {
            take_report(keyboard, queue[at].bytes, queue[at].length);
            tell_taken('R', keyboard);
        } else {
            let_go(keyboard);
            tell_taken('L', keyboard);
        }
        IN_ORDER();
        first = (uint8_t)((at + 1u) % PLACES);
        return true;
    }
    for (keyboard = 0; keyboard < KEYBOARDS; keyboard++) {
        if (lost[keyboard]) {
            lost[keyboard] = false;
            let_go(keyboard); /* what is still down comes back with the next report */
            tell_taken('F', keyboard);
            return true;
        }
    }
    return false;
}

/* ---- Output: contacts and LEDs ---- */

static uint16_t shown[MM_SELECT_MAX];
static uint8_t shown_direct;

static void show(void)
{
    uint8_t select;

    for (select = 0; select < MM_SELECT_MAX; select++) { /* open before close: no phantom in between */
        uint16_t away = (uint16_t)(shown[select] & ~mm_select_mask(&state, select));
        if (away != 0u) {
            open_contacts(select, away);
        }
    }
    if (shown_direct != mm_direct_mask(&state)) {
        shown_direct = mm_direct_mask(&state);
        set_direct_lines(shown_direct);
    }
    for (select = 0; select < MM_SELECT_MAX; select++) {
        uint16_t mask = mm_select_mask(&state, select);
        uint16_t come = (uint16_t)(mask & ~shown[select]);
        if (come != 0u) {
            close_contacts(select, come);
        }
        shown[select] = mask;
    }
}

static void light(uint8_t keyboard, uint8_t leds)
{
    uint8_t bytes[8];
    uint8_t id = 0;
    uint16_t length;

    if (keyboard == BOOT_KEYBOARD) {
        send_leds(keyboard, 0, &leds, 1);
        return;
    }
    length = mm_report_leds(&described, leds, &id, bytes, (uint16_t)sizeof bytes);
    if (length != 0u && length <= sizeof bytes) {
        send_leds(keyboard, id, bytes, (uint8_t)length);
    }
}

static void show_leds(void)
{
    static uint8_t lit = 0xFF; /* none of the bytes that mm_leds gives */
    uint8_t leds = mm_leds(&state);
    uint8_t keyboard;

    for (keyboard = 0; keyboard < KEYBOARDS; keyboard++) {
        if (leds != lit || leds_due[keyboard]) {
            leds_due[keyboard] = false;
            light(keyboard, leds);
        }
    }
    lit = leds;
}

/* ---- The layout: kept by its 16-bit id, which stays the same when layouts are added or removed ---- */

#define KEPT_BYTES 4u

static uint8_t chosen;    /* the layout asked for last */
static bool keep_chosen;  /* it is not kept yet */

/* The 16-bit id, low byte first, then the same with each bit turned: half of it, or a memory that is new, does not pass. */
static void keep_layout(void)
{
    uint8_t bytes[KEPT_BYTES];
    mm_layout layout;

    mm_get_layout(mm_layouts, chosen, &layout);
    bytes[0] = (uint8_t)(layout.id16 & 0xFFu);
    bytes[1] = (uint8_t)(layout.id16 >> 8);
    bytes[2] = (uint8_t)(bytes[0] ^ 0xFFu);
    bytes[3] = (uint8_t)(bytes[1] ^ 0xFFu);
    board_save(bytes, KEPT_BYTES);
}

/* The layout that was kept; the first one if the memory is damaged, or names a layout that is not there any more. */
static uint8_t kept_layout(void)
{
    uint8_t bytes[KEPT_BYTES];
    uint8_t number;

    board_load(bytes, KEPT_BYTES);
    if ((bytes[0] ^ bytes[2]) != 0xFF || (bytes[1] ^ bytes[3]) != 0xFF) {
        return 0;
    }
    number = mm_find_layout((uint16_t)(bytes[0] | (uint16_t)((uint16_t)bytes[1] << 8)));
    return number == MM_NO_LAYOUT ? 0 : number;
}

static void choose(uint8_t number)
{
    mm_layout layout;

    mm_get_layout(mm_layouts, number, &layout);
    if (mm_change_layout(&state, layout.table, layout.size)) {
        chosen = number;
        keep_chosen = true;
        tell_layout(chosen);
    }
}

static void begin_layout(void)
{
    mm_layout layout;

    chosen = kept_layout();
    mm_get_layout(mm_layouts, chosen, &layout);
    if (!mm_init(&state, layout.table, layout.size)) {
        chosen = 0; /* a damaged table: the first may be whole, else nothing is ever closed */
        mm_get_layout(mm_layouts, chosen, &layout);
        (void)mm_init(&state, layout.table, layout.size);
    }
    tell_layout(chosen);
}

/* ---- Commands ---- */

static void obey(uint8_t command)
{
    switch (command) {
    case MM_COMMAND_NEXT_LAYOUT:
        choose((uint8_t)((chosen + 1u) % MM_LAYOUTS));
        break;
    case MM_COMMAND_FIRST_LAYOUT:
        choose(0);
        break;
    case MM_COMMAND_PAIR_KEYBOARD:
        start_pairing();
        break;
    case MM_COMMAND_RESTART:
        board_restart();
        break;
    default:
        break;
    }
}

/* ---- The loop ---- */

static uint16_t settled; /* when mm_advance was called last */
static uint16_t wait;    /* and what it returned */

static bool is_due(uint16_t now)
{
    return wait != MM_NEVER && (uint16_t)(now - settled) >= wait;
}

static void settle(uint16_t now)
{
    uint8_t command;

    do { /* a few times at most: each call that returns 0 has taken a press out of the line */
        wait = mm_advance(&state, now);
        if (mm_take_command(&state, &command)) {
            obey(command);
        }
    } while (wait == 0u);
    settled = now;
    show();
    show_leds();
    tell_time(now);
}

static void turn(void)
{
    bool taken = take_event();
    uint16_t now = clock_now();

    if (taken || is_due(now)) {
        settle(now);
    } else {
        show_leds();
    }
    if (keep_chosen && mm_idle(&state)) { /* no key is late if this takes its time */
        keep_chosen = false;
        keep_layout();
    }
    board_feed_watchdog(); /* here and nowhere else: a loop that hangs ends in a reset */
    board_interrupts_off();
    if (anything_waits() || is_due(ticks)) {
        board_interrupts_on();
    } else {
        board_sleep(); /* nothing can come between the look and the sleep */
    }
}

int main(void)
{
    board_release_lines(); /* before anything else */
    board_begin();
    (void)mm_report_init(&described, mm_keyboard_visitor, MM_KEYBOARD_VISITOR_SIZE);
    tell_taken('H', 0);
    begin_layout();
    board_interrupts_on();
    for (;;) {
        turn();
    }
}
