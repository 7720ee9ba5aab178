/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * The runtime for the page: its state, and room for tables, in the memory of a WebAssembly module. The page calls the
 * functions of mm_runtime.h themselves, with the addresses that these functions give.
 */
#include "mm_runtime.h"

#include <string.h>

#define TABLES 3u /* one that closes contacts, one that waits for its turn, one to write to */
#define TABLE_BYTES 0xFFFFu

static mm_state state;
static mm_state copy; /* on which the page tries a press */
static uint8_t tables[TABLES][TABLE_BYTES];
static uint8_t down[32];
static uint8_t command;

bool page_init(mm_state *of, const uint8_t *table, uint16_t size);
mm_state *page_state(void);
uint8_t *page_down(void);
uint8_t *page_command(void);
uint8_t *page_free_table(void);
mm_state *page_copy(void);
uint8_t page_accent(const mm_state *of);
uint8_t page_switches(const mm_state *of, uint8_t controller);

/* mm_init by a name that does not depend on the sizes. */
bool page_init(mm_state *of, const uint8_t *table, uint16_t size)
{
    return mm_init(of, table, size);
}

mm_state *page_state(void)
{
    return &state;
}

/* A copy of the state as it is now; the one before is gone. It reads the same tables. */
mm_state *page_copy(void)
{
    copy = state;
    return &copy;
}

/* The number of the dead key that is pending, 0: none; a sequence that goes on is none. */
uint8_t page_accent(const mm_state *of)
{
    return (of->accent & MM_SEQUENCE) != 0u ? 0u : of->accent;
}

/* The switches of a controller that are closed now, of one that the layout drives. */
uint8_t page_switches(const mm_state *of, uint8_t controller)
{
    return controller < MM_CONTROLLERS ? of->pad[controller].shut : 0u;
}

/* 256 bits, one a usage, for mm_usages. */
uint8_t *page_down(void)
{
    return down;
}

/* The byte for mm_take_command. */
uint8_t *page_command(void)
{
    return &command;
}

/* Room for a table that the runtime does not read at present. */
uint8_t *page_free_table(void)
{
    uint8_t i;
    for (i = 0u; i + 1u < TABLES; i++) {
        if (state.table != tables[i] && state.input != tables[i]) {
            break;
        }
    }
    return tables[i];
}

void *memcpy(void *to, const void *from, size_t count)
{
    return memmove(to, from, count);
}

void *memmove(void *to, const void *from, size_t count)
{
    unsigned char *target = to;
    const unsigned char *source = from;
    size_t i;
    if (target < source) {
        for (i = 0u; i < count; i++) {
            target[i] = source[i];
        }
    } else {
        for (i = count; i > 0u; i--) {
            target[i - 1u] = source[i - 1u];
        }
    }
    return to;
}

void *memset(void *to, int value, size_t count)
{
    unsigned char *target = to;
    size_t i;
    for (i = 0u; i < count; i++) {
        target[i] = (unsigned char)value;
    }
    return to;
}
