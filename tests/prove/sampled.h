/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* For steps.c: states drawn at random in place of all states. A draw that breaks a supposition does not count. */
#include <stdio.h>
#include <stdlib.h>

#define HOLDS(claim) ((claim) ? (void)0 : (fprintf(stderr, "%s does not hold\n", #claim), abort()))
#define SUPPOSE(claim) \
    do { \
        if (!(claim)) { \
            return 0; \
        } \
    } while (0)

static uint32_t drawn = 1u;

/* Xorshift with the shifts 13, 17, 5 (Marsaglia, Xorshift RNGs, 2003). */
static uint8_t nondet_byte(void)
{
    static const uint8_t likely[] = {0x00u, 0x01u, 0x02u, 0xFFu, 0x10u, 0x11u, 0x00u, 0x20u};
    drawn ^= drawn << 13;
    drawn ^= drawn >> 17;
    drawn ^= drawn << 5;
    /* Small numbers name something in the table more often than others. */
    return (drawn >> 24 & 3u) == 0u ? (uint8_t)(drawn >> 8) : likely[drawn >> 8 & 7u];
}

static uint16_t nondet_word(void)
{
    uint16_t low = nondet_byte();
    return (uint16_t)(low | nondet_byte() << 8);
}

static mm_state nondet_state(void)
{
    mm_state state;
    uint16_t i;
    for (i = 0u; i < sizeof state; i++) {
        ((uint8_t *)&state)[i] = nondet_byte();
    }
    return state;
}

int step(void);

/* Says how many draws counted. */
int main(int count, char **words)
{
    long left = count == 2 ? atol(words[1]) : 0;
    long counted_draws = 0;
    for (; left > 0; left--) {
        counted_draws += step();
    }
    printf("%ld\n", counted_draws);
    return 0;
}
