/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#ifndef MM_SELFTEST_H
#define MM_SELFTEST_H

#include "mm_layouts.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * Plays a fixed script of reports and times with each layout of mm_layouts.h. After each step it compares everything that
 * the runtime shows with what it must show: contacts, LEDs, commands, counters, and when it wants to be called again.
 * It needs no keyboard, clock or contact and takes well under a second on most parts, so one call tests a port to another
 * chip or compiler. If you do not call it, nothing of it is linked; it has a state of its own.
 *
 * 0: all is as it must be. MM_SELFTEST_SIZES: it cannot run with these sizes. Any other number is the first step that
 * differs, counted from 1 through all layouts that were taken; mm_selftest_steps.c names each step.
 */
uint16_t mm_selftest(void);

#define MM_SELFTEST_SIZES 0xFFFFu /* MM_WAITING below 4, MM_HELD below 8, or MM_TAPS 0 */

/* For mm_selftest.c, which describes it. */
extern const uint8_t mm_selftest_steps[];

#ifdef __cplusplus
}
#endif

#endif
