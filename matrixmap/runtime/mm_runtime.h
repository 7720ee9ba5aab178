/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * The MIT licence, of this file and of what is written beside it:
 *
 * Permission is hereby granted, free of charge, to any person obtaining a copy
 * of this software and associated documentation files (the "Software"), to deal
 * in the Software without restriction, including without limitation the rights
 * to use, copy, modify, merge, publish, distribute, sublicense, and/or sell
 * copies of the Software, and to permit persons to whom the Software is
 * furnished to do so, subject to the following conditions:
 *
 * The above copyright notice and this permission notice shall be included in all
 * copies or substantial portions of the Software.
 *
 * THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR
 * IMPLIED, INCLUDING BUT NOT LIMITED TO THE WARRANTIES OF MERCHANTABILITY,
 * FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE
 * AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER
 * LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR OTHERWISE, ARISING FROM,
 * OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE
 * SOFTWARE.
 */
/*
 * From the key sets of HID keyboards to the contacts of a home computer's key matrix.
 *
 * The caller owns one mm_state for each machine, feeds it reports, calls mm_advance with the time, and closes the
 * contacts that the masks show. Nothing is allocated, nothing is global; calls for one state must not overlap.
 *
 *     mm_init(&state, table, sizeof table);
 *     for (;;) {
 *         if (a report has come) mm_boot_report(&state, 0, report, length);
 *         wait = mm_advance(&state, ticks());
 *         apply the masks, opening before closing;
 *         if (wait != 0) sleep until a report comes, at most `wait` ticks;
 *     }
 *
 * TIME. One tick is 100 microseconds. The clock has 16 bits and wraps.
 *  - Call at least every 3.2 s, unless mm_advance returned MM_NEVER. A longer step cannot be told from a step back, and
 *    counts as none. While a close, open or lead time runs, the clock then stays where it was.
 *  - A late call delays what was due. It shortens nothing.
 *  - If the times of two calls differ by n ticks, more than n - 1 ticks have passed. The times of a table allow for that
 *    one tick.
 *
 * INTERRUPTS. No function may interrupt another one of the same state, not even one that only reads.
 *  - An interrupt puts what it brings into a queue, and the loop takes it out.
 *  - An interrupt that works contacts reads a copy of the masks, which mm_follow.h keeps.
 *  - The clock has 16 bits: a processor that reads 8 bits at once reads and writes it with interrupts off.
 *  docs/firmware.md has the code.
 *
 * THE TABLE. One layout is one array of bytes, read through MM_READ only (MM_TABLE puts it where that reads).
 *
 *      0  MM_TABLE_VERSION
 *      1  select lines, 0 to 16      2  sense lines, 0 to 16     3  direct lines, 0 to 8
 *      4  modifier keys M, 0 to 8    5  demands D, 1 to 255      6  caps ranges C    7  chords H    8  groups G
 *      9  flags: bit 0 the host has AltGr: right Alt chooses levels 3 and 4; without it right Alt is an Alt;
 *                bit 1 the guard is on: only where contacts are plain switches, which alone can make a phantom;
 *                bit 2 keyboards are apart: the modifiers of one do not count for the presses of another;
 *                bit 3 keys come back: only for a runtime with MM_RESUME;
 *                bit 4 Caps Lock is kept by the runtime; bit 5 Num Lock is;
 *                bit 6 there are sequences: only for a runtime with MM_SEQUENCES;
 *                bit 7 the machine compares whole scans: only for a runtime with MM_WHOLE
 *     10  rollover, 255 for no limit
 *     11  close time   13  open time   15  lead time (= lag): ticks, low byte first, up to 0x3FFF (1.6 s)
 *     17  M modifier keys {kind, value}: kind 0 crosspoint, 1 direct line
 *         D demands {rule, hold}, bit n = modifier key n. A stroke with it asks for (typist & ~rule) | hold
 *         C caps ranges {first usage, last usage, pairs}: bit 0 Caps Lock swaps levels 1 and 2, bit 1 levels 3 and 4;
 *           the first range that has the usage counts
 *         H chords: four times {kind, value}, kind 0 crosspoint, 1 direct line, 0xFF unused. One without a contact is
 *           a stroke all the same: it closes the modifier keys that its demand holds
 *         G groups {when, demand, kind, count} and count entries {usage, value}; usages up to 0xE7, each above the one
 *           before
 *           when: bits 0-3 levels 1 to 4 that the group answers; bits 4, 6, 7 Control, Alt, Meta must be held, just these
 *           kind, bits 0-2:
 *                 0 crosspoint (value = select << 4 | sense)    1 direct line (value = number)
 *                 2 chord (value = number)                      3 modifier (value = modifier keys closed meanwhile)
 *                 4 latch (value = modifier keys toggled)       5 command (value = number)
 *                 6 nothing                                     7 dead key (value = its number, 1 to 28), or with bit 7
 *                                                                 set a sequence (bits 0-4 = its number, 1 to 28)
 *           kind, bits 3-7, what the press does while a dead key is pending:
 *                 0 its accent first, then this                 29 leaves it pending and does this
 *                 30 takes it back, and no more                 31 drops it and does this
 *                 1 to 28: the entries of pairs, which answer only while the dead key or sequence of this number is
 *                 pending. They stand before all others save those of kind 3; the one of usage 0 is the accent by
 *                 itself, or the first stroke of the sequence. Dead keys and sequences have no number in common.
 *         Where pads close the switches of the machine's controllers, these; only for a runtime with MM_PADS, and refused
 *         by all others, for its groups do not fill the size then:
 *           their number, 1 to MM_CONTROLLERS; the poll time, two bytes as the times above
 *           of each, in the order of the machine's file, 26 bytes: two pairs of opposite switches, each a mask, 0 for none;
 *           and of its 8 switches, in the order of the file, {kind, value, modifier}. Kind 0: the crosspoint `value`;
 *           0x10: pulls the sense line of it low while its select line is strobed; 0x11: pulls the sense line `value` low
 *           whatever is strobed; 3: no switch. Modifier: the modifier key whose contact it closes, as a mask, 0 for none
 *         a checksum, high byte first, of all bytes before it: the CRC of ITU-T V.41 (x^16 + x^12 + x^5 + 1), begun with
 *         all ones, the high bit of a byte first. It finds every damage within 16 bits in a row and every one of an odd
 *         number of bits, and of any other all but about one in 65,536
 *
 * What every table keeps to:
 *  - At most one entry answers a press, apart from pairs.
 *  - Groups of kind 3 stand before all others. Their bits 3-7 are clear, and `when` and demand do not count.
 *  - No entry and no chord names the contact of a modifier key.
 *  - Close time: long enough for all samples that the machine takes of a key, and for the sweep of the last one to end.
 *  - Open time: long enough for the samples of an open key, and not shorter than the lead time. If several whole scans
 *    are compared, it also covers the sweep of the last sample.
 *  - Lead time: one sweep.
 *  - A time of 0 counts as 1.
 *
 * INPUT. An input set is the set of usages that a keyboard has down now. Its changes count in this order:
 *  1. Releases.
 *  2. Modifiers. The typist's machine modifiers are the values of all kind 3 entries with a usage that is down, on any
 *     keyboard. A usage of a kind 3 entry is no press.
 *  3. Presses, by ascending usage.
 *     3.1 Usages 0x39 and 0x53 toggle Caps Lock and Num Lock if the layout keeps that lock. They are no presses then.
 *     3.2 Any other press joins the waiting line, even one that will turn out to do nothing. If MM_WAITING presses are
 *         there, it is dropped and counted.
 *     3.3 A press takes along its keyboard, the typist's machine modifiers, Control, Alt and Meta, and its level.
 *     3.4 The level is 1, + 1 with a Shift, + 2 with AltGr, of any keyboard. Where keyboards are apart, modifiers of the
 *         keyboard that pressed count alone.
 *     3.5 Caps Lock swaps the levels by the caps ranges, unless Control is held.
 *     3.6 Usages 0x59 to 0x63 have level 1, and with Num Lock off level 2.
 *     3.7 A lock that the layout does not keep counts as Caps Lock off and Num Lock on. Locks are so at start.
 *
 * OUTPUT. All of this happens within mm_advance, in the order given. At most once a call a press leaves the line or a
 * refusal happens; the call then returns 0.
 *
 *  1. SLOTS
 *     1.1 A stroke has one of MM_HELD places, from its closing until its open time has passed after its opening.
 *     1.2 A stroke is in its close time for that time after it was closed, and never longer than until the next call
 *         after that.
 *     1.3 "Resting" means: no stroke is led (3.4), and none is in its close time.
 *  2. WHICH MODIFIERS COUNT AS THE TYPIST'S
 *     2.1 While presses wait, a stroke is led, or a stroke is in its close time: those that the last stroke led took
 *         along.
 *     2.2 Otherwise: those that are held now, and those that are tapped (2.4).
 *     2.3 Closed latches are added to them.
 *     2.4 With MM_TAPS a modifier that a keyboard comes to hold is tapped. It is so until a press joins the line, a
 *         layout change is asked for, or it was presented (2.5).
 *     2.5 When resting, with no press or layout change waiting and the modifiers as wanted (5), a close time begins for
 *         modifiers alone. The typist's modifiers stay as they are in it. A press or a layout change ends it.
 *  3. THE LINE. When resting:
 *     3.1 The oldest press is looked up: the entry of its usage in a group that answers its level and asks for just the
 *         Control, Alt and Meta that are held; else in a group that asks for none of them.
 *     3.2 No entry, or kind 3 or 6: nothing happens. Latch: it toggles. Dead key: it is pending. Command: it is due, in
 *         place of one that was not taken.
 *     3.3 If all places are taken, the press is not looked up. The stroke of the oldest place is opened, unless it is
 *         open already; one that stands aside (7) leaves its place.
 *     3.4 Anything else is a stroke. It is led: its modifiers come first (5), then its key (6).
 *  4. WHAT OPENS
 *     4.1 The newest stroke is the one led, else the one that was closed last among those closed.
 *     4.2 First, strokes open if their key was released after their press, except one in its close time.
 *     4.3 Then, from the newest to the oldest, each stroke opens that breaks a rule with the modifiers of the newest and
 *         the strokes kept so far:
 *         a. it asks for other modifier keys than the newest;
 *         b. a kept stroke closes one of its contacts;
 *         c. strokes would close more crosspoints than the rollover (if that is not 255);
 *         d. the guard is on, contacts are of kind switch, and one of its crosspoints, closed in the order of its chord,
 *            would make a phantom: its select line would share some, but not all, sense lines with another one.
 *     4.4 A newest stroke that breaks a rule with its own modifiers alone does not count, and the next newest takes its
 *         part. If it is led, it is refused and counted, before anything opens in that call. If it is closed, it opens.
 *     4.5 What is opened stays open until it is pressed again, or comes back (7).
 *  5. MODIFIERS. Wanted are those that the newest stroke asks for; without one, the typist's. All change at once, when
 *     the lead time has passed since the last opening of a stroke and since the last change of modifiers.
 *  6. WHAT CLOSES. The stroke led closes when all of this is so:
 *     6.1 The modifiers are as wanted, and did not change in this call.
 *     6.2 The lead time has passed as in 5.
 *     6.3 No stroke with a contact of it was opened less than its open time ago. If it or the other is a chord, that
 *         goes for any stroke opened.
 *     6.4 Crosspoints of strokes opened less than their open time ago, and all that would be closed, are together not
 *         more than the rollover.
 *  7. WHAT COMES BACK, where keys come back:
 *     7.1 A stroke that broke a rule with a newer one, and that does not break it alone, stands aside. It keeps its
 *         place, beyond its open time, until its key is released or a layout change is due.
 *     7.2 When resting, with no press or layout change waiting and no close time of modifiers alone (2.5), the newest
 *         that stands aside is led as if it were pressed anew. The condition: by 4 it breaks no rule alone, and nothing
 *         opens for it. Else the next newest is tried.
 *     7.3 So one press can close several times.
 *  8. WHOLE SCANS, where the machine compares them: it counts its equal scans anew after each change of any contact.
 *     8.1 In a close time, also in one of modifiers alone (2.5), nothing opens and no modifier changes. 4 to 7 wait.
 *     8.2 Open times begin anew whenever a stroke opens or closes, or modifiers change.
 *     8.3 A stroke that stands aside after its open time is open for long enough.
 *  9. PADS, in a runtime with MM_PADS:
 *     9.1 A switch of a controller closes in the first call after mm_controller, whatever else goes on.
 *     9.2 It stays closed until it is let go, and for its poll time at least. A poll time begins with the first switch that
 *         closes while none runs. Switches that are closed by then stay until it ends. Switches that come meanwhile stay
 *         until the end of the next one, which follows at once: so for up to two poll times.
 *     9.3 Of two opposite switches that are on at once, both count as let go. One that comes ends the time of the other.
 *     9.4 mm_unplugged ends all times: all switches of the controller open at once.
 *     9.5 While a layout change is due, all are open. Those that are on close again when the new layout stands, not before
 *         the lead time has passed.
 *     9.6 In a call in which a switch opens or closes, no press leaves the line, no stroke comes back, and the typist's
 *         modifiers (2) are as before. It returns 0.
 * 10. THE GUARD WITH PADS. What pads close comes first and is not judged, as modifiers are not.
 *     10.1 What is read on a select line are its contacts, and the sense lines that are pulled low with it.
 *     10.2 With the guard on, a crosspoint breaks a rule if its select line shares some, but not all, sense lines with what
 *          is read on another; or if another one that has its sense line has some that is not read on its own. Without
 *          pads that is rule 4.3 d.
 *     10.3 With every call the strokes are judged anew. After 6 they are judged once more as they will be shown: with the
 *          modifiers that are closed then, and without the stroke led. What breaks a rule there opens, in its close time
 *          too, which ends it.
 *     10.4 A stroke counts as a clash, and not as a refusal, if it is opened so; or if it breaks a rule of 4 with its own
 *          modifiers alone while a pad closes anything. Where keys come back, it stands aside.
 * 11. MODIFIERS AND PADS. A modifier key with a contact that a pad closes counts as held by the typist. A stroke that asks
 *     for it to be lifted breaks a rule by itself. When the pad lets go, the modifier follows as others do (5).
 * 12. WHOLE SCANS AND PADS. Where whole scans are compared, a close time that runs begins anew when a switch of a pad opens
 *     or closes, and so do open times. In that call strokes and modifiers may change, too.
 * 13. AMONG THEMSELVES modifier keys and pads may make a phantom. The guard does not open them. It refuses only strokes
 *     that are joined to the lines concerned.
 *
 * DEAD KEYS. While a dead key is pending:
 *  - A press with an entry ends it, except an entry of kind 6 and one that leaves it pending.
 *  - With Control, Alt or Meta held, pairs do not answer, and the dead key is dropped.
 *  - Otherwise, if the press has a pair, the pair is what is done.
 *  - A press that takes it back does nothing more. A press that drops it is done.
 *  - A press of which the table says 0 is done after the accent by itself. The accent comes into the line before it, as a
 *    keystroke that was released already (if there is one).
 *
 * SEQUENCES are several strokes in turn for one press.
 *  - A press comes to a sequence by itself, as a pair of a dead key, or after an accent by itself. It then goes back into
 *    the line, and no dead key is pending.
 *  - Before it comes the entry of usage 0 among the pairs of the sequence's number, as a keystroke released already.
 *  - When the press is taken again, it is what is found for it among these pairs, with any Control, Alt and Meta: a stroke,
 *    or a sequence of a higher number.
 *  - Where the sequence is the accent by itself, the entry of usage 1 among these pairs comes before the press in the same
 *    way. The press is then looked up as if no dead key had been pending.
 *  - What is no pair, or a sequence of no higher number, is nothing.
 *
 * A LAYOUT CHANGE takes its place in the line.
 *  - From the call on, input is judged by the new layout. Rule 3 looks up each press by the layout of its part of the line.
 *  - When no press is ahead of it, and when resting, all strokes count as released. The typist's modifiers and all latches
 *    count as none, also a latch that was toggled and has closed nothing yet.
 *  - When all open times and the lead time are over, and no modifier is closed, the new layout stands, and no dead key is
 *    pending. Key sets and locks stay.
 *
 * AN EXAMPLE. The layout quillon8-de-DE-symbolic has a close time of 291 ticks, an open time of 287 and a lead time of 5.
 * Shift and 2 come in one report of a German keyboard, and are released 50 ticks later. The layout's stroke is d2; it
 * leaves Shift, which feeds shift-left, as it is.
 *
 *     tick  what happens
 *        0  The report is taken: Shift is a modifier, and 2 joins the line with level 2 and shift-left (INPUT 2, 3).
 *           mm_advance leads the stroke of 2 (3.4). Wanted is shift-left, which closes at once (5).
 *        5  The lead time has passed: d2 closes, and its close time begins (6).
 *       50  Both are released. d2 is in its close time and stays (4.2); so does shift-left, which it took along (2.1).
 *      296  The close time is over: d2 opens (4.2), and its open time begins.
 *      301  One lead time later nobody wants shift-left any more: it opens (5).
 *      583  The open time of d2 is over, and its place is free (1.1). mm_advance returns MM_NEVER.
 */
#ifndef MM_RUNTIME_H
#define MM_RUNTIME_H

#include <stdbool.h>
#include <stdint.h>

#include "mm_config.h"

#define MM_TABLE_VERSION 3

#if MM_TABLE_VERSION_WANTED != MM_TABLE_VERSION
#error "these layouts and this runtime are of different versions: run `matrixmap build` again"
#endif
#if MM_SELECT_MAX < 1 || MM_SELECT_MAX > 16 || MM_SENSE_MAX < 1 || MM_SENSE_MAX > 16
#error "MM_SELECT_MAX and MM_SENSE_MAX are 1 to 16"
#endif
#if MM_KEYBOARDS < 1 || MM_KEYBOARDS > 4
#error "MM_KEYBOARDS is 1 to 4"
#endif
#if MM_SEQUENCES != 0 && MM_SEQUENCES != 1
#error "MM_SEQUENCES is 0 or 1"
#endif
#if (MM_RESUME != 0 && MM_RESUME != 1) || (MM_TAPS != 0 && MM_TAPS != 1) || (MM_CHECKSUM != 0 && MM_CHECKSUM != 1)
#error "MM_RESUME, MM_TAPS and MM_CHECKSUM are 0 or 1"
#endif
#if MM_WHOLE != 0 && MM_WHOLE != 1
#error "MM_WHOLE is 0 or 1"
#endif
#if (MM_PADS != 0 && MM_PADS != 1) || MM_CONTROLLERS < 1 || MM_CONTROLLERS > 8
#error "MM_PADS is 0 or 1, MM_CONTROLLERS is 1 to 8"
#endif
#if MM_WAITING < 1 || MM_WAITING > 255 || MM_HELD < 1 || MM_HELD > 127
#error "MM_WAITING is 1 to 255, MM_HELD is 1 to 127"
#endif

/* Where tables are stored, and how one byte of them is read. For another program memory, define both before this header. */
#ifndef MM_READ
#if defined(__AVR__)
#include <avr/pgmspace.h>
#define MM_TABLE PROGMEM
#define MM_READ(address) pgm_read_byte(address)
#if defined(__AVR_HAVE_LPMX__)
#define MM_READ_NEXT(address)                                                                         \
    __extension__({                                                                                   \
        uint8_t mm_byte;                                                                              \
        __asm__("lpm %0, Z+" : "=r"(mm_byte), "+z"(address));                                         \
        mm_byte;                                                                                      \
    })
#endif
#else
#define MM_TABLE
#define MM_READ(address) (*(address))
#endif
#endif

/* Reads the byte at a pointer and moves the pointer on. */
#ifndef MM_READ_NEXT
#define MM_READ_NEXT(address) MM_READ((address)++)
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define MM_SET_BYTES 29 /* of a key set: usages up to 0xE7, the last of the keyboard page (HID Usage Tables 1.5, section 10) */
#define MM_NEVER 0xFFFFu /* mm_advance: nothing will change before the next input */

/* What a press does while a dead key is pending, in the byte of a group's kind. */
#define MM_PAIR_OF(number) ((number) * 8u)
#define MM_KEEPS 0xE8u
#define MM_TAKES_BACK 0xF0u
#define MM_DROPS 0xF8u

/* In the value of a dead key: it is the sequence of the number in bits 0-4. */
#define MM_SEQUENCE 0x80u

/* Bits of the LED byte, as in the output report of HID 1.11 appendix B.1. */
#define MM_LED_NUM_LOCK 0x01u
#define MM_LED_CAPS_LOCK 0x02u

/* The result of an input set. */
typedef uint8_t mm_result;
enum {
    MM_TAKEN = 0,    /* it is now the keyboard's key set */
    MM_ROLLED = 1,   /* the keyboard could not tell its keys apart: the keys stay, the modifier byte is taken */
    MM_DROPPED = 2,  /* as one of these two, but the waiting line was full: at least one press was dropped and counted */
    MM_MALFORMED = 3 /* nothing changed: report too short, no such keyboard, or no table */
};

#if MM_SENSE_MAX <= 8
typedef uint8_t mm_mask;
#else
typedef uint16_t mm_mask;
#endif

/* Counts slots. */
#if MM_HELD + MM_WAITING < 255
typedef uint8_t mm_count;
#else
typedef uint16_t mm_count;
#endif

/* A press that waits, a stroke that is closed, or one that was opened less than its open time ago. */
typedef struct mm_slot {
    uint8_t what; /* bit 5 released; bits 6-7 keyboard; of a press: bits 0-4 Control, Shift, Alt, Meta, AltGr;
                     of a stroke: bits 0-1 kind as in the table, bit 2 opened, bit 3 stands aside */
    uint8_t value; /* of a press: the locks that count for it, as in the table's flags; of a stroke as in the table */
    union {
        struct {
            uint8_t usage;
            uint8_t modifiers; /* of the typist, bit n = modifier key n */
        } press;
        struct {
            uint8_t usage;
            uint8_t demand;
        } stroke;
#if !MM_RESUME
        uint16_t open_left; /* ticks */
#endif
    } is;
#if MM_RESUME
    uint16_t open_left; /* ticks; of one that stands aside its key must be known besides */
#endif
} mm_slot;

#if MM_PADS
/* The switches of a controller. */
typedef struct mm_pad {
    uint8_t on;    /* by the last mm_controller */
    uint8_t young; /* asked for since the last poll time ended */
    uint8_t old;   /* before that: they stay until this one ends */
    uint8_t shut;  /* closed now */
} mm_pad;
#endif

/* Owned by the caller. Its members are for tools and tests; firmware calls the functions. */
typedef struct mm_state {
    const uint8_t *table; /* that closes contacts; null: no table, nothing happens */
    const uint8_t *input; /* that judges input; differs from `table` while a layout change waits */
    uint16_t now;
    uint16_t close_left;
    uint16_t settle_left;
    uint16_t overflows;
    uint16_t refusals;
    mm_count strokes;  /* slots of strokes, at the front, oldest first */
    mm_count waiting;  /* slots of presses behind them, oldest first */
    mm_count behind;   /* presses behind a layout change; all ones: none waits */
    uint8_t leading;   /* the first press is a stroke already, and its modifiers lead it */
    uint8_t typist;    /* those that count now */
    uint8_t latches;
    uint8_t modifiers; /* closed now */
    uint8_t wanted;    /* closed as soon as they may */
    uint8_t locks;     /* bits as in the table's flags */
    uint8_t command;
    uint8_t command_due;
    uint8_t keys;      /* crosspoints that strokes close */
    uint8_t recent;    /* crosspoints opened less than their open time ago; bit 7: the first press waits for one */
    uint8_t accent;    /* the dead key that is pending, 0: none; with bit 7 a sequence, with bit 6 too that of an accent */
#if MM_TAPS
    uint8_t tapped;    /* modifiers of the typist that came and were not presented yet */
    uint8_t alone;     /* the close time is one of modifiers alone */
#endif
#if MM_PADS
    const uint8_t *input_pads; /* the controllers of `input`; null: it has none */
    const uint8_t *pads;       /* those of `table` */
    uint16_t poll_left;
    uint16_t clashes;
    uint8_t shut; /* not 0: a switch of a pad is closed */
    mm_pad pad[MM_CONTROLLERS];
    uint8_t held; /* modifier keys whose contacts pads close */
#endif
#if MM_PADS
    mm_mask closed[3 * (MM_SELECT_MAX + 1)]; /* the same again: the sense lines pulled with each, the last one: with any;
                                                and again: what of the first is closed by pads */
#else
    mm_mask closed[MM_SELECT_MAX + 1]; /* the last one holds the direct lines */
#endif
    mm_slot slots[MM_HELD + MM_WAITING];
    uint8_t live[MM_KEYBOARDS]; /* machine modifiers that each keyboard holds, bit n = modifier key n */
    uint8_t down[MM_KEYBOARDS][MM_SET_BYTES];
} mm_state;

/*
 * Empties the state and gives it its first layout. `table` of `size` bytes (sizeof the array) must stay as long as the
 * state is used. False: wrong version, more lines than MM_SELECT_MAX or MM_SENSE_MAX, sequences without MM_SEQUENCES,
 * keys that come back without MM_RESUME, a machine that compares whole scans without MM_WHOLE, a wrong checksum (with
 * MM_CHECKSUM), or counts that do not fit the size. The state is then safe: it closes nothing and refuses everything.
 *
 * The sizes of mm_config.h are part of this function's name for the linker, so firmware and runtime that were compiled
 * with different sizes do not link. Call it in the file that has the state. Give sizes as plain numbers.
 */
#define MM_NAMED_(select, sense, keyboards, waiting, held, sequences, resume, whole, taps, checksum, pads, controllers) \
    mm_init_of_##select##x##sense##_keyboards##keyboards##_waiting##waiting##_held##held##_##sequences##resume##whole##taps##checksum##pads##x##controllers
#define MM_NAMED(select, sense, keyboards, waiting, held, sequences, resume, whole, taps, checksum, pads, controllers) \
    MM_NAMED_(select, sense, keyboards, waiting, held, sequences, resume, whole, taps, checksum, pads, controllers)
#define mm_init                                                                                             \
    MM_NAMED(MM_SELECT_MAX, MM_SENSE_MAX, MM_KEYBOARDS, MM_WAITING, MM_HELD, MM_SEQUENCES, MM_RESUME, MM_WHOLE, MM_TAPS, \
             MM_CHECKSUM, MM_PADS, MM_CONTROLLERS)
bool mm_init(mm_state *state, const uint8_t *table, uint16_t size);

/*
 * Takes a boot report of `keyboard` (0 to MM_KEYBOARDS - 1): modifier byte, a byte that is ignored, six usages.
 * `length` is the number of bytes of `report`; of more than 8 bytes, the first 8 are used. A null `report` is an empty
 * one. While any usage is 0x01 to 0x03 (HID 1.11 appendix C), the keys stay and the modifier byte is taken.
 */
mm_result mm_boot_report(mm_state *state, uint8_t keyboard, const uint8_t *report, uint8_t length);

/* Takes the key set of `keyboard` as a bitmap: bit u % 8 of byte u / 8 is usage u. Bits of usages 0x01 to 0x03 have the
 * same meaning as in a boot report; those of usage 0 and from 0xE8 on are ignored. */
mm_result mm_usages(mm_state *state, uint8_t keyboard, const uint8_t down[32]);

/* The link to `keyboard` is lost: all its keys count as released. Waiting presses are still played. When the keyboard is
 * back, send it the LED byte again. */
void mm_disconnected(mm_state *state, uint8_t keyboard);

/*
 * Presses and releases a key at once, as if it came from a keyboard, with these bits of the modifier byte held for this
 * key alone; locks count as Caps Lock off and Num Lock on. For pasted text: presses wait in the line, and the machine sets
 * the pace. `usage` must be that of a key, 0x04 to 0xDF. False: the line is full, or it is no such usage, or a modifier of
 * the machine (kind 3); nothing changed and nothing is counted.
 */
bool mm_type(mm_state *state, uint8_t usage, uint8_t modifiers);

/* How many presses the line has room for. 0 without a table. */
mm_count mm_room(const mm_state *state);

/*
 * Does what is due at the time `now`; the only function that changes contacts, latches and due commands. Call it after
 * each input, and when the ticks that it returned have passed; an earlier call does no harm. 0: call it again at once.
 * MM_NEVER: nothing will change before the next input. Otherwise 1 to 0x3FFF: the least of the close, open and lead
 * times that still run, even if nothing visible depends on it. The masks stay the same between calls, and change step by
 * step during a call: an interrupt handler must read a copy.
 */
uint16_t mm_advance(mm_state *state, uint16_t now);

/*
 * Asks for another layout, at any moment; `table` and `size` as for mm_init. It acts as described above. A second call
 * replaces one that still waits: presses made since the first call are dropped and counted. False: refused as by mm_init,
 * or the state has no table; nothing changed.
 */
bool mm_change_layout(mm_state *state, const uint8_t *table, uint16_t size);

/* Crosspoints to close on a select line: bit n is sense line n. 0 for a line beyond MM_SELECT_MAX. */
uint16_t mm_select_mask(const mm_state *state, uint8_t select);

/* Direct lines to close: bit n is direct line n. */
uint8_t mm_direct_mask(const mm_state *state);

#if MM_PADS
/*
 * The switches of a controller of the machine that a pad closes now, bit n its switch n, both counted as in the machine's
 * file; all sources of the pad taken together. It closes and opens nothing by itself: call mm_advance, as after a report.
 * A controller beyond MM_CONTROLLERS, one that the table has not, and bits beyond its switches do not count.
 */
void mm_controller(mm_state *state, uint8_t controller, uint8_t switches);

/* The pad of a controller is gone: all of its switches open in the next mm_advance, with no poll time. */
void mm_unplugged(mm_state *state, uint8_t controller);

/* Sense lines to pull low while `select` is strobed: bit n is sense line n. Of a line beyond MM_SELECT_MAX: those to pull
 * low whatever is strobed; each line has these too. Contacts of pads are in mm_select_mask. */
uint16_t mm_pulls(const mm_state *state, uint8_t select);

/* Strokes refused or opened because of pads (10), modulo 65536. */
uint16_t mm_clashes(const mm_state *state);
#endif

/* The LED byte for all keyboards (MM_LED_...). Caps Lock is lit while that lock is on or a latch of the machine is
 * closed; a lock that the layout does not keep shows as Caps Lock off, Num Lock on. */
uint8_t mm_leds(const mm_state *state);

/* True: a command was due, and its number is in `command`. If it is not taken before the next one, the next replaces it. */
bool mm_take_command(mm_state *state, uint8_t *command);

/* Presses dropped because the line was full, modulo 65536. */
uint16_t mm_overflows(const mm_state *state);

/* Presses refused because they alone break a rule with their own modifiers, modulo 65536. */
uint16_t mm_refusals(const mm_state *state);

/* Only latches are closed, no press or layout change waits, no time runs, and no modifier is held: the clock may stop
 * until the next input, and continue from any value. */
bool mm_idle(const mm_state *state);

#ifdef __cplusplus
}
#endif

#endif
