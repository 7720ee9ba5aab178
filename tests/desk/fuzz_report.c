/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * A case: {length, length, descriptor} and so many {length, length, report}. The descriptor is read, its table made in a
 * buffer of exactly the room that is said, the reports decoded; then the case itself is taken for a table.
 */
#include "fuzz.h"
#include "mm_descriptor.h"

/* The report of LEDs fits the length that is said, ends there, and is not written where there is less room. */
static void run_leds(const mm_report_state *keyboard)
{
    uint8_t id, same, dark;
    uint16_t length = mm_report_leds(keyboard, 0x1Fu, &id, NULL, 0u);
    uint16_t i;
    uint8_t *out = malloc(length > 0u ? length : 1u);
    promise(out != NULL);
    promise(mm_report_leds(keyboard, 0x1Fu, &same, out, length) == length && same == id);
    for (dark = 0u, i = 0u; i < length; i++) {
        dark |= out[i];
    }
    promise((length > 0u) == (dark != 0u));
    promise(mm_report_leds(keyboard, 0xE0u, &same, out, length) == length);
    for (i = 0u; i < length; i++) {
        promise(out[i] == 0u);
    }
    free(out);
}

static void run_reports(mm_report_state *keyboard, const uint8_t *data, size_t size)
{
    mm_report_state beside = *keyboard;
    uint8_t before[32], down[32], other[32];
    uint16_t length;
    uint8_t *report;
    run_leds(keyboard);
    memset(before, 0, sizeof before);
    while ((report = part(&data, &size, &length)) != NULL) {
        mm_report_result result = mm_report_keys(keyboard, report, length, down);
        if (length > 0u) { /* the id beside the report is the id in front of it */
            bool numbered = keyboard->table != NULL && (keyboard->table[1] & 1u) != 0u;
            uint16_t rest = (uint16_t)(length - (numbered ? 1u : 0u));
            uint8_t *alone = malloc(rest > 0u ? rest : 1u);
            promise(alone != NULL);
            memcpy(alone, report + (numbered ? 1 : 0), rest);
            promise(mm_report_keys_of(&beside, numbered ? report[0] : 0u, alone, rest, other) == result);
            promise(memcmp(other, down, 32) == 0);
            free(alone);
        }
        promise((down[0] & 0x0Fu) == 0u);
        promise(result <= MM_REPORT_ROLLED || memcmp(before, down, 32) == 0);
        if (result == MM_REPORT_ROLLED) {
            before[28] = down[28];
            promise(memcmp(before, down, 32) == 0);
        }
        memcpy(before, down, 32);
        free(report);
    }
    mm_report_disconnected(keyboard);
    (void)mm_report_keys(keyboard, NULL, 0u, down);
    memset(before, 0, sizeof before);
    promise(memcmp(before, down, 32) == 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const uint8_t *all = data;
    size_t all_size = size;
    mm_report_state keyboard;
    uint16_t length, made, again;
    uint8_t *descriptor = part(&data, &size, &length);
    static uint8_t table[0xFFFFu];
    mm_descriptor_result result;
    if (descriptor != NULL) {
        result = mm_read_descriptor(descriptor, length, table, 0xFFFFu, &made);
        if (result == MM_DESCRIPTOR_READ) {
            uint8_t *tight = malloc(made);
            promise(tight != NULL);
            result = mm_read_descriptor(descriptor, length, tight, made, &again);
            /* Steps of reports without id, which are left out once others have one, need room until then. */
            promise(result == MM_DESCRIPTOR_READ ? again == made : result == MM_DESCRIPTOR_NO_ROOM && table[1] == 1u);
            promise(result != MM_DESCRIPTOR_READ || memcmp(tight, table, made) == 0);
            promise(mm_read_descriptor(descriptor, length, table, (uint16_t)(made - 1u), &again) == MM_DESCRIPTOR_NO_ROOM);
            promise(mm_read_descriptor(descriptor, length, table, 0xFFFFu, &again) == MM_DESCRIPTOR_READ && again == made);
            memcpy(tight, table, made);
            promise(mm_report_init_ram(&keyboard, tight, made));
            run_reports(&keyboard, data, size);
            free(tight);
        } else {
            promise(made <= length);
        }
        free(descriptor);
    }
    if (all_size > 0u && all_size <= 0xFFFFu) {
        uint8_t *as_table = malloc(all_size);
        promise(as_table != NULL);
        memcpy(as_table, all, all_size);
        (void)mm_report_init(&keyboard, as_table, (uint16_t)all_size);
        run_reports(&keyboard, all, all_size);
        free(as_table);
    }
    return 0;
}
