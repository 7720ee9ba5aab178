/*
 * A model of a board's parts, joined as its nets say, under the generated driver: after each write of a pin the closed contacts
 * are looked at. model.h, made from the nets by tests/board/wired.py, says what is joined to what.
 *
 * Arguments: how many changes, a seed. Prints the changes, the writes of the longest one, or the first thing that is wrong.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "model.h"

static mm_board board;
static uint8_t driven[NETS]; /* 2: by nothing */
static uint8_t level[NETS];
static uint8_t stored[ARRAYS + 1][256];
static uint64_t shifted[REGISTERS + 1], latched[REGISTERS + 1];
static uint8_t was_clock[REGISTERS + 1], was_latch[REGISTERS + 1], was_strobe[ARRAYS + 1];
static uint64_t time_ns, inputs_at[ARRAYS + 1], rise_at[ARRAYS + 1], fall_at[ARRAYS + 1];
static uint64_t closed, old_set, new_set, last_set;
static uint8_t closed_direct, old_direct, new_direct, last_direct;
static uint64_t keys; /* what the masks of contacts say; new_set has besides what contacts pull for pads */
static uint8_t closed_pulls, old_pulls, new_pulls, last_pulls; /* sense lines to ground */
static uint8_t asked_pulls, gated[8];
static bool judged, growing;
static unsigned long change, writes, most_writes;

static void fail(const char *what)
{
    printf("change %lu: %s\n", change, what);
    exit(1);
}

uint16_t mm_select_mask(const mm_state *state, uint8_t select)
{
    (void)state;
    return (uint16_t)((keys >> (8u * select)) & 0xFFu);
}

#if MM_PADS
uint16_t mm_pulls(const mm_state *state, uint8_t select)
{
    (void)state;
    return (uint16_t)(asked_pulls | (select < 8u ? gated[select] : 0u));
}
#endif

uint8_t mm_direct_mask(const mm_state *state)
{
    (void)state;
    return new_direct;
}

static void step_arrays(void)
{
    int n, at;
    for (n = 0; n < ARRAYS; n++) {
        const struct array *a = &arrays[n];
        unsigned address = 0;
        bool strobe = level[a->strobe] != 0;
        for (at = 0; at < a->bits; at++) {
            address |= (unsigned)level[a->address[at]] << at;
        }
        if (strobe && !was_strobe[n]) {
            if (time_ns < inputs_at[n] + SETUP_NS) fail("a strobe came before its set-up time");
            rise_at[n] = time_ns;
        }
        if (!strobe && was_strobe[n]) {
            if (time_ns < rise_at[n] + PULSE_NS) fail("a strobe was too short");
            fall_at[n] = time_ns;
        }
        was_strobe[n] = strobe;
        if (strobe) stored[n][address] = level[a->data];
        if (level[a->reset] == 0) memset(stored[n], 0, sizeof stored[n]); /* low resets */
    }
}

static void step_registers(void)
{
    int n, q;
    for (n = REGISTERS - 1; n >= 0; n--) { /* the last first: each takes what the one before had */
        const struct shift *r = &registers[n];
        if (level[r->clock] && !was_clock[n]) shifted[n] = (shifted[n] << 1) | level[r->input];
        was_clock[n] = level[r->clock];
        if (level[r->clear] == 0) shifted[n] = 0;
        if (level[r->latch] && !was_latch[n]) latched[n] = shifted[n];
        was_latch[n] = level[r->latch];
        if (r->out >= 0) driven[r->out] = (uint8_t)((shifted[n] >> 7) & 1u);
        for (q = 0; q < 8; q++) {
            driven[r->outputs[q]] = level[r->enable] ? 2 : (uint8_t)((latched[n] >> q) & 1u);
        }
    }
}

static void settle_levels(void)
{
    int n;
    for (n = 0; n < NETS; n++) level[n] = driven[n] == 2 ? pulled[n] : driven[n];
    for (n = 0; n < DRAINS; n++) {
        if (level[drains[n].in] == 0) level[drains[n].out] = 0;
    }
    for (n = 0; n < BUFFERS; n++) level[buffers[n].out] = level[buffers[n].in];
}

static void look(void)
{
    int n, x, y;
    closed = 0;
    closed_direct = 0;
    closed_pulls = 0;
    for (n = 0; n < ARRAYS; n++) {
        for (y = 0; y < 8; y++) {
            for (x = 0; x < 8; x++) {
                if (stored[n][x + 8 * y]) {
                    int a = line_of[arrays[n].x[x]], b = line_of[arrays[n].y[y]];
                    if (a >= 0 && b >= 8) closed |= (uint64_t)1 << (8 * a + b - 8);
                    if (b >= 0 && b < 8 && a >= 8) closed |= (uint64_t)1 << (8 * b + a - 8);
                }
            }
        }
    }
    for (n = 0; n < SWITCHES; n++) {
        if (level[switches[n].control]) {
            int a = line_of[switches[n].a], b = line_of[switches[n].b];
            if (a > b) { int c = a; a = b; b = c; }
            if (a >= 0 && a < 8 && b >= 8 && b < 16) closed |= (uint64_t)1 << (8 * a + b - 8);
            if (a == DIRECT_GROUND && b == DIRECT_LINE) closed_direct = 1;
            if (a >= 8 && a < 16 && b == DIRECT_GROUND) closed_pulls = (uint8_t)(closed_pulls | 1u << (a - 8));
        }
    }
    for (n = 0; n < DRAINS; n++) {
        int a = line_of[drains[n].out];
        if (a == DIRECT_LINE && level[drains[n].in] == 0) closed_direct = 1;
        if (!FOLLOWS && a >= 8 && a < 16 && level[drains[n].in] == 0) closed_pulls = (uint8_t)(closed_pulls | 1u << (a - 8));
    }
}

/* From old to old AND new nothing may come; from there to new nothing may go. */
static void judge(void)
{
    uint64_t both = old_set & new_set;
    uint8_t both_direct = old_direct & new_direct, both_pulls = old_pulls & new_pulls;
    if (!growing && last_set == both && last_direct == both_direct && last_pulls == both_pulls) growing = true;
    if (growing ? (last_pulls & ~closed_pulls) || (closed_pulls & ~new_pulls) : (closed_pulls & ~last_pulls) || (both_pulls & ~closed_pulls))
        fail("a sense line was pulled, or let go of, that nobody asked for");
    if (!growing) {
        if ((closed & ~last_set) || (both & ~closed) || (closed_direct & ~last_direct) || (both_direct & ~closed_direct))
            fail("while contacts opened, one closed, or one opened that stays");
    } else if ((last_set & ~closed) || (closed & ~new_set) || (last_direct & ~closed_direct) || (closed_direct & ~new_direct)) {
        fail("while contacts closed, one opened, or one closed that nobody asked for");
    }
    last_set = closed;
    last_direct = closed_direct;
    last_pulls = closed_pulls;
}

static void settle(void)
{
    uint8_t before[NETS];
    int rounds = 0;
    do {
        memcpy(before, level, sizeof level);
        step_registers();
        settle_levels();
        if (++rounds > 20) fail("the parts do not settle");
    } while (memcmp(before, level, sizeof level) != 0);
    step_arrays();
}

void mm_board_write(uint8_t port, mm_board_bits mask, mm_board_bits bits)
{
    int bit, n, at;
    writes++;
    time_ns += MM_BOARD_WRITE_NS;
    for (bit = 0; bit < 32; bit++) {
        if ((((uint32_t)mask >> bit) & 1u) == 0u) continue;
        int net = pin_net[port][bit];
        uint8_t put = (uint8_t)(((uint32_t)bits >> bit) & 1u);
        if (net < 0) fail("a pin was written that is on no net");
        if (driven[net] == put) continue;
        for (n = 0; n < ARRAYS; n++) {
            bool input = net == arrays[n].data;
            for (at = 0; at < arrays[n].bits; at++) input = input || net == arrays[n].address[at];
            if (input) {
                if (level[arrays[n].strobe]) fail("address or data changed while the strobe was active");
                if (time_ns < fall_at[n] + HOLD_NS) fail("address or data changed within the hold time");
                inputs_at[n] = time_ns;
            }
        }
        driven[net] = put;
        settle();
        if (judged) {
            look();
            judge();
        }
    }
}

void mm_board_wait(uint16_t nanoseconds)
{
    time_ns += nanoseconds;
}

mm_board_bits mm_board_read(uint8_t port)
{
    uint32_t bits = 0;
    int bit;
    for (bit = 0; bit < 32; bit++) {
        if (pin_net[port][bit] >= 0 && level[pin_net[port][bit]]) bits |= (uint32_t)1 << bit;
    }
    return (mm_board_bits)bits;
}

static uint64_t seed;

static uint64_t draw(void) /* xorshift64 (Marsaglia, 2003) */
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return seed;
}

static void next_set(void)
{
    int count = (int)(draw() % 5u);
    uint64_t kind = draw() % 8u;
    if (kind == 0) {
        keys = draw() & draw();
    } else if (kind == 1) {
        keys = 0;
    } else {
        if (kind < 5) keys &= draw();
        while (count-- > 0) keys ^= (uint64_t)1 << (draw() % 64u);
    }
    new_direct = (uint8_t)(draw() % 4u == 0u);
    new_set = keys;
#if MM_PADS
    asked_pulls = (uint8_t)(kind == 1 ? 0u : draw() & draw());
    for (count = 0; count < 8; count++) gated[count] = (uint8_t)(kind == 1 ? 0u : draw() & draw() & draw());
    new_pulls = FOLLOWS ? 0u : (uint8_t)(asked_pulls & MM_BOARD_PULLED);
    if (MM_BOARD_GATED && !FOLLOWS) { /* the contacts of these select lines do it, save what is pulled anyway */
        for (count = 0; count < 8; count++) new_set |= (uint64_t)(uint8_t)(gated[count] & (uint8_t)~asked_pulls) << (8 * count);
    }
#endif
}

#if FOLLOWS
/* One select line or several are strobed: exactly the sense lines of the masks are pulled. */
static void strobe(void)
{
    unsigned strobed = 0;
    int n, s;
    uint8_t want = asked_pulls, got = 0;
    mm_board_follow(&board);
    for (s = 0; s < 8; s++) got = (uint8_t)(got | (level[sense_net[s]] ? 0u : 1u << s));
    if (got != want) fail("without a strobe other sense lines are pulled than pads pull whatever is strobed");
    got = 0;
    for (n = 0; n < 8; n++) strobed |= (draw() % 3u == 0u) ? 1u << n : 0u;
    for (n = 0; n < 8; n++) {
        driven[select_net[n]] = (strobed >> n) & 1u ? 0 : 2;
        if ((strobed >> n) & 1u) want = (uint8_t)(want | ((new_set >> (8 * n)) & 0xFFu) | gated[n]);
    }
    settle();
    mm_board_follow(&board);
    for (s = 0; s < 8; s++) got = (uint8_t)(got | (level[sense_net[s]] ? 0u : 1u << s));
    if (got != want) fail("the sense lines that are pulled are not those asked for");
    for (n = 0; n < 8; n++) driven[select_net[n]] = 2;
    settle();
    mm_board_follow(&board);
    for (s = 0; s < 8; s++) if (!level[sense_net[s]] && !(asked_pulls >> s & 1u)) fail("a sense line stays low after the strobe");
}
#endif

int main(int count, char **words)
{
    unsigned long changes = count > 1 ? strtoul(words[1], NULL, 10) : 1000ul;
    int n;
    seed = count > 2 ? strtoull(words[2], NULL, 10) : 1u;
    for (n = 0; n < NETS; n++) driven[n] = 2;
    for (n = 0; n < ARRAYS; n++) for (int at = 0; at < 64; at++) stored[n][at] = 1; /* what power-up leaves */
    settle();
    mm_board_begin(&board);
    look();
    if (closed || closed_direct || closed_pulls) fail("contacts are closed at the beginning");
    for (change = 1; change <= changes; change++) {
        old_set = last_set = new_set;
        old_direct = last_direct = new_direct;
        old_pulls = last_pulls = new_pulls;
        next_set();
#if FOLLOWS
        mm_board_show(&board, NULL);
        look();
        if (closed_direct != new_direct) fail("the direct line is not as asked for");
        strobe();
#else
        judged = true;
        growing = false;
        writes = 0;
        mm_board_show(&board, NULL);
        if (writes > most_writes) most_writes = writes;
        look();
        if (closed != new_set || closed_direct != new_direct || closed_pulls != new_pulls) fail("the contacts that are closed are not those asked for");
        judged = false;
        if (change % 997 == 0) { /* a refresh changes nothing that is asked for */
            mm_board_refresh(&board);
            look();
            if (closed != new_set || closed_direct != new_direct || closed_pulls != new_pulls) fail("a refresh changed contacts");
        }
        if (ARRAYS > 0 ? new_set == 0 && new_pulls == 0 : change % 64 == 0) { /* and mends what static has flipped, while nothing is shown or always */
            for (n = 0; n < ARRAYS; n++) stored[n][draw() % 64u] = 1;
            for (n = 0; n < REGISTERS; n++) latched[n] ^= (uint64_t)1 << (draw() % 8u);
            if (new_direct == 0 || REGISTERS > 0) {
                mm_board_refresh(&board);
                look();
                if (closed != new_set || closed_direct != new_direct || closed_pulls != new_pulls) fail("a refresh does not mend a bit that was flipped");
            } else {
                for (n = 0; n < ARRAYS; n++) memset(stored[n], 0, sizeof stored[n]);
            }
        }
#endif
    }
    printf("%lu changes, at most %lu writes\n", changes, most_writes);
    return 0;
}
