/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * A case: {length, length, descriptor} and so many {length, length, report}. The table of each pad of the descriptor is
 * made in a buffer of exactly its size, the reports decoded; then the case itself is taken for a table, and for a map.
 */
#include "../desk/fuzz.h"
#include "mm_descriptor.h"
#include "mm_pad.h"

/* Hat, stick and axes point one way at most, and a report that is not taken changes nothing. */
static void run_reports(mm_pad_state *pad, const uint8_t *data, size_t size)
{
    uint16_t length;
    uint8_t *report;
    while ((report = part(&data, &size, &length)) != NULL) {
        mm_pad_state before = *pad;
        mm_pad_state beside = *pad;
        mm_pad_result result = mm_pad_report(pad, report, length);
        uint8_t i;
        promise(result == MM_PAD_TAKEN || memcmp(&before, pad, sizeof before) == 0);
        for (i = 36u; i < MM_PAD_SOURCES; i = (uint8_t)(i + 2u)) {
            promise(!(mm_pad_is_on(pad, i) && mm_pad_is_on(pad, (uint8_t)(i + 1u))));
        }
        for (i = MM_PAD_SOURCES; i != 0u; i++) {
            promise(!mm_pad_is_on(pad, i));
        }
        if (length > 0u && pad->table != NULL) { /* the id beside the report is the id in front of it */
            uint16_t front = pad->table[1] & 1u;
            uint8_t *alone = malloc(length);
            promise(alone != NULL);
            memcpy(alone, report + front, (size_t)(length - front));
            promise(mm_pad_report_of(&beside, front != 0u ? report[0] : 0u, alone, (uint16_t)(length - front)) == result);
            promise(memcmp(&beside, pad, sizeof beside) == 0);
            free(alone);
        }
        free(report);
    }
    mm_pad_disconnected(pad);
    for (length = 0u; length < MM_PAD_SOURCES; length++) {
        promise(!mm_pad_is_on(pad, (uint8_t)length));
    }
}

static void run_descriptor(const uint8_t *descriptor, uint16_t length, const uint8_t *data, size_t size)
{
    static uint8_t table[0xFFFFu];
    uint8_t number;
    uint16_t made, again;
    mm_pad_state pad;
    for (number = 0u; number < 3u; number++) {
        mm_descriptor_result result = mm_read_pad(descriptor, length, number, table, 0xFFFFu, &made);
        uint8_t *tight;
        if (result != MM_DESCRIPTOR_READ) {
            promise(result == MM_DESCRIPTOR_NO_KEYS ? made <= 255u : made <= length);
            continue;
        }
        tight = malloc(made);
        promise(tight != NULL);
        result = mm_read_pad(descriptor, length, number, tight, made, &again);
        /* Steps of reports without id, which are left out once others have one, need room until then. */
        promise(result == MM_DESCRIPTOR_READ ? again == made : result == MM_DESCRIPTOR_NO_ROOM && table[1] == 1u);
        promise(result != MM_DESCRIPTOR_READ || memcmp(tight, table, made) == 0);
        promise(mm_read_pad(descriptor, length, number, table, (uint16_t)(made - 1u), &again) == MM_DESCRIPTOR_NO_ROOM);
        promise(mm_read_pad(descriptor, length, number, table, 0xFFFFu, &again) == MM_DESCRIPTOR_READ && again == made);
        memcpy(tight, table, made);
        memset(&pad, 0x55, sizeof pad);
        promise(mm_pad_init_ram(&pad, tight, made));
        run_reports(&pad, data, size);
        free(tight);
    }
}

/* A map made of the case, and a pad that has every button and a hat. */
static void run_map(const uint8_t *map, uint16_t size)
{
    static const uint8_t table[] = {1, 0, 1, 13, 0, 1, 0, 0, 32, 0, 0, 5, 32, 0, 8, 8, 0, 0, 0, 5, 0};
    static const uint8_t reports[][5] = {{0xFF, 0xFF, 0xFF, 0xFF, 1}, {0x0F, 0, 0, 0, 5}, {0xF0, 0xFF, 1, 2, 9}};
    uint8_t down[32];
    uint8_t i, n, controller;
    mm_pads pads;
    memset(down, 0, sizeof down);
    if (!mm_pads_init(&pads, map, size)) {
        promise(mm_pads_controllers(&pads) == 0u && mm_pads_switches(&pads, 0u, &controller) == 0u);
        return;
    }
    promise(mm_pads_connect(&pads, table, sizeof table, false) == 0u);
    promise(mm_pads_connect(&pads, table, sizeof table, true) == 1u);
    promise(mm_pads_connect(&pads, table, sizeof table, true) == MM_PAD_NO_PLACE);
    for (n = 0u; n < 3u; n++) {
        promise(mm_pad_report(&pads.pad[n & 1u], reports[n], 5u) == MM_PAD_TAKEN);
        for (i = 0u; i < mm_pads_controllers(&pads); i++) {
            (void)mm_pads_switches(&pads, i, &controller);
        }
        mm_pads_usages(&pads, down);
        mm_pads_swap(&pads);
    }
    mm_pads_disconnected(&pads, 0u);
    mm_pads_disconnected(&pads, 1u);
    for (i = 0u; i < mm_pads_controllers(&pads); i++) {
        promise(mm_pads_switches(&pads, i, &controller) == 0u);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const uint8_t *all = data;
    size_t all_size = size;
    uint16_t length;
    mm_pad_state pad;
    uint8_t *descriptor = part(&data, &size, &length);
    if (descriptor != NULL) {
        run_descriptor(descriptor, length, data, size);
        free(descriptor);
    }
    if (all_size > 0u && all_size <= 0xFFFFu) {
        uint8_t *as_table = malloc(all_size);
        promise(as_table != NULL);
        memcpy(as_table, all, all_size);
        memset(&pad, 0x55, sizeof pad);
        if (mm_pad_init(&pad, as_table, (uint16_t)all_size)) {
            run_reports(&pad, all, all_size);
        }
        run_map(as_table, (uint16_t)all_size);
        free(as_table);
    }
    return 0;
}
