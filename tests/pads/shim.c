/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* What ctypes cannot see by itself, and whole streams of reports in one call. */
#include "mm_descriptor.h"
#include "mm_pad.h"

uint16_t mm_test_pad_size(void);
uint16_t mm_test_pads_size(void);
void mm_test_thresholds(mm_pad_state *pad, uint8_t press, uint8_t release);
uint32_t mm_test_pad_batch(mm_pad_state *pad, const uint8_t *reports, uint32_t size, uint8_t *out);
mm_pad_result mm_test_pads_report(mm_pads *pads, uint8_t place, const uint8_t *report, uint16_t length);
bool mm_test_pads_is_on(const mm_pads *pads, uint8_t place, uint8_t source);

uint16_t mm_test_pad_size(void)
{
    return (uint16_t)sizeof(mm_pad_state);
}

uint16_t mm_test_pads_size(void)
{
    return (uint16_t)sizeof(mm_pads);
}

void mm_test_thresholds(mm_pad_state *pad, uint8_t press, uint8_t release)
{
    pad->press = press;
    pad->release = release;
}

/* Reports as {length, length, bytes...}; writes {result, 7 bytes: what is on} for each. Their number. */
uint32_t mm_test_pad_batch(mm_pad_state *pad, const uint8_t *reports, uint32_t size, uint8_t *out)
{
    uint32_t at = 0u, count = 0u;
    while (at + 2u <= size) {
        uint16_t length = (uint16_t)(reports[at] | (uint16_t)(reports[at + 1u] << 8));
        uint8_t i;
        at += 2u;
        *out++ = (uint8_t)mm_pad_report(pad, reports + at, length);
        for (i = 0u; i < 7u; i++) {
            *out++ = pad->on[i];
        }
        at += length;
        count++;
    }
    return count;
}

mm_pad_result mm_test_pads_report(mm_pads *pads, uint8_t place, const uint8_t *report, uint16_t length)
{
    return mm_pad_report(&pads->pad[place], report, length);
}

bool mm_test_pads_is_on(const mm_pads *pads, uint8_t place, uint8_t source)
{
    return mm_pad_is_on(&pads->pad[place], source);
}
