/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Sizes of the runtime's fixed memory. `matrixmap build` writes a file of this name beside the runtime, with the
 * sizes that the layouts of the build need. This file has the sizes that the runtime uses when it is compiled alone.
 */
#ifndef MM_CONFIG_H
#define MM_CONFIG_H

#ifndef MM_SELECT_MAX
#define MM_SELECT_MAX 16 /* select lines, 1 to 16 */
#endif
#ifndef MM_SENSE_MAX
#define MM_SENSE_MAX 16 /* sense lines, 1 to 16; up to 8 halve the masks */
#endif
#ifndef MM_KEYBOARDS
#define MM_KEYBOARDS 1 /* keyboards on one machine, 1 to 4 */
#endif
#ifndef MM_WAITING
#define MM_WAITING 8 /* presses that can wait for their turn, 1 to 255 */
#endif
#ifndef MM_HELD
#define MM_HELD 10 /* strokes closed, or open for less than their open time, 1 to 127 */
#endif
#ifndef MM_SEQUENCES
#define MM_SEQUENCES 0 /* 1: layouts may type a character by several strokes in turn */
#endif
#ifndef MM_RESUME
#define MM_RESUME 0 /* 1: with layouts that say so, a key that was opened for a newer one closes again */
#endif
#ifndef MM_WHOLE
#define MM_WHOLE 0 /* 1: layouts may be for machines that compare whole scans, and not each key by itself */
#endif
#ifndef MM_TAPS
#define MM_TAPS 1 /* 1: a modifier key that is only tapped is shown to the machine for a close time; 0: for as long as it was held */
#endif
#ifndef MM_CHECKSUM
#define MM_CHECKSUM 1 /* 1: mm_init and mm_change_layout check by its checksum whether a table is whole */
#endif
#ifndef MM_PADS
#define MM_PADS 0 /* 1: pads may close the switches of the machine's controllers through the adapter */
#endif
#ifndef MM_CONTROLLERS
#define MM_CONTROLLERS 2 /* controllers of a machine that pads can drive, 1 to 8 */
#endif
#ifndef MM_TABLE_VERSION_WANTED
#define MM_TABLE_VERSION_WANTED 3 /* the table format of the layouts beside this file */
#endif

#endif
