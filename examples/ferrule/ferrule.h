/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * The Ferrule, the museum's adapter between two keyboards and the key connector of a Quillon 8: what its parts ask of each
 * other. ferrule.c is the product; serial.c stands in for radio, USB and contacts; a board_*.c is one chip.
 */
#ifndef FERRULE_H
#define FERRULE_H

#include <stdbool.h>
#include <stdint.h>

/* Keyboard 0 speaks the boot protocol; keyboard 1 has a table for the decoder (keyboard/mm_keyboard_visitor.c). */
enum { BOOT_KEYBOARD = 0, DESCRIBED_KEYBOARD = 1, KEYBOARDS = 2 };

#define REPORT_BYTES 24u /* the longest report of either */

/* ferrule.c gives these, and they are called from interrupts. */
void on_tick(void);                                                          /* ten times a millisecond */
void on_report(uint8_t keyboard, const uint8_t *report, uint8_t length);     /* longer ones are cut off */
void on_link_lost(uint8_t keyboard);
void on_connected(uint8_t keyboard);

/* The contacts and the keyboards: serial.c here, and your driver in a product. Called from the loop. */
void open_contacts(uint8_t select, uint16_t sense);
void close_contacts(uint8_t select, uint16_t sense);
void set_direct_lines(uint8_t lines);
void send_leds(uint8_t keyboard, uint8_t id, const uint8_t *bytes, uint8_t length); /* id 0: none */
void start_pairing(void);
/* What only a test wants to know; a product leaves these empty. */
void tell_layout(uint8_t number);                /* the layout asked for from now on */
void tell_taken(uint8_t what, uint8_t keyboard); /* an event left the queue: R, L, F for a queue that was full; H: a start */
void tell_time(uint16_t now);                    /* all that was due at this time is shown */

/* serial.c gives this to the interrupt of the board's serial line. */
void on_byte(uint8_t byte);

/* The chip. All but the first are called after board_begin(). */
void board_release_lines(void); /* the first thing after reset: every contact is open */
void board_begin(void);         /* clock, serial line, watchdog; interrupts stay off */
void board_interrupts_off(void);
void board_interrupts_on(void);
void board_sleep(void);         /* with interrupts off: turns them on and sleeps at one stroke, until one has come */
void board_feed_watchdog(void);
void board_restart(void);       /* a reset, as by the watchdog */
void board_put(uint8_t byte);   /* to the serial line; waits for its turn */
void board_load(uint8_t *bytes, uint8_t length);
void board_save(const uint8_t *bytes, uint8_t length); /* keeps them without power; may take some milliseconds */

#endif
