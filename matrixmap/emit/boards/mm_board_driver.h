/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * The code of a board's driver. mm_board_ADAPTER_MACHINE.c includes it once, behind its tables; nobody else does.
 *
 * The tables: mm_board_pins, a port and the bytes of a mask, low one first, for each pin. mm_board_contacts, a row for each
 * contact in order, and behind them one for each sense line where something pulls sense lines to ground: where (0 and up: that
 * store; MM_BOARD_CHAIN; MM_BOARD_PIN; MM_BOARD_NONE), and behind it for a store the bits of its address in each port that has
 * some, else the bit of the chain or the pin. mm_board_stores, a row for each store: port and mask of each port of the address,
 * then the pins of data, strobe and reset. A pin of 0x80 and up is active low.
 *
 * HOW LONG IT TAKES counts: the times of a layout's table allow for what lies between the fastest and the slowest moment at
 * which a contact changes. So what a contact needs is looked up before, and a contact of a store is two writes and its address.
 */
#ifndef MM_BOARD_DRIVER_H
#define MM_BOARD_DRIVER_H

#define MM_BOARD_CHAIN 0xFDu
#define MM_BOARD_PIN 0xFEu
#define MM_BOARD_NONE 0xFFu
#define MM_BOARD_LOW 0x80u

#define MM_BOARD_PIN_BYTES (1u + sizeof(mm_board_bits))

#if MM_BOARD_ADDRESS_PORTS > 0
#define MM_BOARD_ROW_BYTES (1u + (uint16_t)MM_BOARD_ADDRESS_PORTS * sizeof(mm_board_bits))
#else
#define MM_BOARD_ROW_BYTES 2u
#endif

/* The contacts at one select line. */
#if MM_BOARD_SENSE <= 8
typedef uint8_t board_line;
#else
typedef uint16_t board_line;
#endif

#define MM_BOARD_ROWS (MM_BOARD_CONTACTS + MM_BOARD_PULLS) /* the last ones pull a sense line each */

/* A pin: its port, its bit there, and what of the bit makes it active. */
typedef struct board_wire {
    uint8_t port;
    mm_board_bits mask;
    mm_board_bits active;
} board_wire;

/* Bits of a port out of a table. */
MM_FOLLOW_INLINE mm_board_bits board_bits(const uint8_t *at)
{
    mm_board_bits bits = MM_READ(at);

#if MM_BOARD_PORT_BITS > 8
    bits = (mm_board_bits)(bits | ((mm_board_bits)MM_READ(at + 1) << 8));
#endif
#if MM_BOARD_PORT_BITS > 16
    bits |= (mm_board_bits)MM_READ(at + 2) << 16;
    bits |= (mm_board_bits)MM_READ(at + 3) << 24;
#endif
    return bits;
}

static board_wire board_wire_of(uint8_t pin)
{
    const uint8_t *at = &mm_board_pins[(uint16_t)(pin & 0x7Fu) * MM_BOARD_PIN_BYTES];
    board_wire wire;

    wire.port = MM_READ(at);
    wire.mask = board_bits(at + 1);
    wire.active = (pin & MM_BOARD_LOW) != 0u ? (mm_board_bits)0u : wire.mask;
    return wire;
}

MM_FOLLOW_INLINE void board_put(const board_wire *wire, bool active)
{
    mm_board_write(wire->port, wire->mask, active ? wire->active : (mm_board_bits)(wire->mask ^ wire->active));
}

/* Makes a pin active, or not. */
static void board_set(uint8_t pin, bool active)
{
    board_wire wire = board_wire_of(pin);

    board_put(&wire, active);
}

#if MM_BOARD_CHAIN_BITS > 0 || MM_BOARD_STORES > 0
/* A wait that the next write does not take anyway. */
#define MM_BOARD_WAIT(nanoseconds)               \
    do {                                         \
        if ((nanoseconds) > MM_BOARD_WRITE_NS) { \
            mm_board_wait(nanoseconds);          \
        }                                        \
    } while (0)

MM_FOLLOW_INLINE void board_pulse(const board_wire *wire)
{
    MM_BOARD_WAIT(MM_BOARD_SETUP_NS);
    board_put(wire, true);
    MM_BOARD_WAIT(MM_BOARD_PULSE_NS);
    board_put(wire, false);
    MM_BOARD_WAIT(MM_BOARD_HOLD_NS);
}
#endif

#if MM_BOARD_STORES > 0
#define MM_BOARD_STORE_BYTES ((uint16_t)MM_BOARD_ADDRESS_PORTS * MM_BOARD_PIN_BYTES + 3u)

/* The store that is written to. */
typedef struct board_store {
    uint8_t number;
    board_wire data, strobe;
    struct {
        uint8_t port;
        mm_board_bits mask;
    } address[MM_BOARD_ADDRESS_PORTS];
} board_store;

/* The last pins of a row: 0 data, 1 strobe, 2 reset. */
static uint8_t board_store_pin(uint8_t store, uint8_t which)
{
    return MM_READ(&mm_board_stores[(uint16_t)(store + 1u) * MM_BOARD_STORE_BYTES - 3u + which]);
}

static void board_take_store(board_store *to, uint8_t store)
{
    const uint8_t *at = &mm_board_stores[(uint16_t)store * MM_BOARD_STORE_BYTES];
    uint8_t port;

    to->number = store;
    for (port = 0; port < MM_BOARD_ADDRESS_PORTS; port++) {
        to->address[port].port = MM_READ(at);
        to->address[port].mask = board_bits(at + 1);
        at += MM_BOARD_PIN_BYTES;
    }
    to->data = board_wire_of(board_store_pin(store, 0u));
    to->strobe = board_wire_of(board_store_pin(store, 1u));
}

/* Stores the data, which is set, at the address of a contact's row. */
MM_FOLLOW_INLINE void board_store_at(const board_store *to, const uint8_t *row)
{
    uint8_t port;

    for (port = 0; port < MM_BOARD_ADDRESS_PORTS; port++) { /* the strobe is inactive, so the order does not matter */
        if (MM_BOARD_ADDRESS_PORTS == 1 || to->address[port].mask != 0u) {
            mm_board_write(to->address[port].port, to->address[port].mask,
                           board_bits(row + 1u + (uint16_t)port * sizeof(mm_board_bits)));
        }
    }
    board_pulse(&to->strobe);
}

static void board_clear_stores(void)
{
    uint8_t store;

    for (store = 0; store < MM_BOARD_STORES; store++) {
        uint8_t reset = board_store_pin(store, 2u);
        board_set(board_store_pin(store, 1u), false);
        if (reset != MM_BOARD_NONE) {
            board_wire wire = board_wire_of(reset);
            board_pulse(&wire);
        } else {
            board_store to;
            const uint8_t *row = mm_board_contacts;
            uint8_t contact;
            board_take_store(&to, store);
            board_put(&to.data, false);
            for (contact = 0; contact < MM_BOARD_ROWS; contact++) {
                if (MM_READ(row) == store) {
                    board_store_at(&to, row);
                }
                row += MM_BOARD_ROW_BYTES;
            }
        }
    }
}
#endif

#if MM_BOARD_CHAIN_BITS > 0
static bool board_bit(uint16_t bits, uint8_t at)
{
    return ((uint16_t)(bits >> at) & 1u) != 0u;
}

static bool board_is_shown(const mm_board *board, uint8_t contact)
{
#if MM_PADS && MM_BOARD_PULLS > 0
    if (contact >= MM_BOARD_CONTACTS) {
        return board_bit(board->pulls, (uint8_t)(contact - MM_BOARD_CONTACTS));
    }
#endif
    if (contact >= MM_BOARD_CROSSPOINTS) {
        return board_bit(board->direct, (uint8_t)(contact - MM_BOARD_CROSSPOINTS));
    }
    return board_bit(board->shown[contact / MM_BOARD_SENSE], contact % MM_BOARD_SENSE);
}

/* Shifts out what is shown: the contact of each bit of the chain, the last bit first, then shows all at once. */
static void board_shift(const mm_board *board)
{
    board_wire in = board_wire_of(MM_BOARD_CHAIN_IN);
    board_wire clock = board_wire_of(MM_BOARD_CHAIN_CLOCK);
    board_wire latch = board_wire_of(MM_BOARD_CHAIN_LATCH);
    bool was = true;
    uint8_t bit;

    for (bit = MM_BOARD_CHAIN_BITS; bit > 0u; bit--) {
        uint8_t contact = MM_READ(&mm_board_chain[bit - 1u]);
        bool closed = contact != MM_BOARD_NONE && board_is_shown(board, contact);
        if (closed != was || bit == MM_BOARD_CHAIN_BITS) {
            board_put(&in, closed);
            was = closed;
        }
        board_pulse(&clock);
    }
    board_pulse(&latch);
}
#endif

/* What changes contacts: the contacts of each select line and the direct lines, and the store that is written to. */
typedef struct board_work {
    board_line lines[2][MM_BOARD_SELECT]; /* those that open, those that close */
    uint8_t direct[2];
#if MM_PADS && MM_BOARD_PULLS > 0
    board_line pulls[2];
#endif
    bool shift; /* one of them waits for the chain to be shifted */
#if MM_BOARD_STORES > 0
    bool data; /* the data of the store is set */
    board_store to;
#endif
} board_work;

/* Closes or opens the contact of a row. */
MM_FOLLOW_INLINE void board_change(board_work *work, const uint8_t *row, bool closed)
{
    uint8_t where = MM_READ(row);

#if MM_BOARD_STORES > 0
    if (where < MM_BOARD_STORES) {
#if MM_BOARD_STORES > 1
        if (work->to.number != where) {
            board_take_store(&work->to, where);
            work->data = false;
        }
#endif
        if (!work->data) {
            board_put(&work->to.data, closed);
            work->data = true;
        }
        board_store_at(&work->to, row);
        return;
    }
#endif
    if (where == MM_BOARD_PIN) {
        board_set(MM_READ(row + 1), closed);
    }
    work->shift = work->shift || where == MM_BOARD_CHAIN;
}

#if !MM_BOARD_FOLLOWS || (MM_PADS && MM_BOARD_PULLS > 0)
/* Opens or closes the contacts of one select line, whose rows begin at `row`. */
MM_FOLLOW_INLINE void board_change_line(board_work *work, board_line left, const uint8_t *row, bool closed)
{
    if (left == 0u) {
        return;
    }
    while ((left & 0x0Fu) == 0u) {
        left = (board_line)(left >> 4);
        row += 4u * MM_BOARD_ROW_BYTES;
    }
    for (; left != 0u; left = (board_line)(left >> 1)) {
        if ((left & 1u) != 0u) {
            board_change(work, row, closed);
        }
        row += MM_BOARD_ROW_BYTES;
    }
}
#endif

/* Opens what is to open, or closes what is to close. */
MM_FOLLOW_INLINE void board_change_all(board_work *work, uint8_t close)
{
    const uint8_t *direct = &mm_board_contacts[MM_BOARD_CROSSPOINTS * MM_BOARD_ROW_BYTES];
    const uint8_t *row;
    uint8_t left = work->direct[close];
#if !MM_BOARD_FOLLOWS
    const board_line *line = work->lines[close];
#endif

    work->shift = false;
#if MM_BOARD_STORES > 0
    work->data = false;
#endif
    for (row = direct; left != 0u; left = (uint8_t)(left >> 1)) {
        if ((left & 1u) != 0u) {
            board_change(work, row, close != 0u);
        }
        row += MM_BOARD_ROW_BYTES;
    }
#if MM_PADS && MM_BOARD_PULLS > 0
    board_change_line(work, work->pulls[close], &mm_board_contacts[MM_BOARD_CONTACTS * MM_BOARD_ROW_BYTES], close != 0u);
#endif
#if !MM_BOARD_FOLLOWS
    for (row = mm_board_contacts; row != direct; row += MM_BOARD_SENSE * MM_BOARD_ROW_BYTES) {
        board_change_line(work, *line++, row, close != 0u);
    }
#endif
}

void mm_board_begin(mm_board *board)
{
    uint8_t at;

    for (at = 0; at < MM_SELECT_MAX; at++) {
        board->shown[at] = 0u;
    }
    board->direct = 0u;
#if MM_PADS
    board->pulls = 0u;
#endif
#if MM_BOARD_FOLLOWS
    for (at = 0; at < sizeof board->low / sizeof board->low[0]; at++) {
        board->low[at] = 0u;
    }
    board->set = 0u;
#endif
    for (at = 0; at < MM_BOARD_ROWS; at++) {
        const uint8_t *row = &mm_board_contacts[at * MM_BOARD_ROW_BYTES];
        if (MM_READ(row) == MM_BOARD_PIN) {
            board_set(MM_READ(row + 1), false);
        }
    }
#if MM_BOARD_STORES > 0
    board_clear_stores();
#endif
#if MM_BOARD_CHAIN_BITS > 0
    if (MM_BOARD_CHAIN_ENABLE != MM_BOARD_NONE) {
        board_set(MM_BOARD_CHAIN_ENABLE, false);
    }
    if (MM_BOARD_CHAIN_CLEAR != MM_BOARD_NONE) {
        board_set(MM_BOARD_CHAIN_CLEAR, false);
    }
    board_set(MM_BOARD_CHAIN_CLOCK, false);
    board_set(MM_BOARD_CHAIN_LATCH, false);
    board_shift(board);
    if (MM_BOARD_CHAIN_ENABLE != MM_BOARD_NONE) {
        board_set(MM_BOARD_CHAIN_ENABLE, true);
    }
#endif
#if MM_BOARD_FOLLOWS
    mm_board_follow(board);
#endif
}

#if MM_BOARD_FOLLOWS
/* The masks for the interrupt: what each select line pulls low, and what pads pull whatever is strobed. */
static void board_copy(mm_board *board, const uint16_t *select)
{
    uint8_t set = board->set == 0u ? (uint8_t)MM_BOARD_SET : 0u;
    volatile mm_board_low *low = board->low + set;
    uint8_t at;

    for (at = 0; at < MM_BOARD_SELECT; at++) {
        low[at] = (mm_board_low)select[at];
    }
#if MM_PADS
    low[MM_BOARD_SELECT] = (mm_board_low)board->pulls;
#endif
    board->set = set;
}
#endif

static void board_show(mm_board *board, const uint16_t *select, uint8_t direct)
{
    board_work work;
    board_line opens = 0u, closes = 0u;
    uint8_t at, close;

#if MM_BOARD_STORES > 0
    board_take_store(&work.to, 0u);
#endif
    for (at = 0; at < MM_BOARD_SELECT; at++) { /* both at once, so that what closes waits for no more than what opens */
        board_line now = (board_line)select[at];
        board_line shown = (board_line)board->shown[at];
        work.lines[0][at] = (board_line)(shown & (board_line)~now);
        work.lines[1][at] = (board_line)(now & (board_line)~shown);
        opens = (board_line)(opens | work.lines[0][at]);
        closes = (board_line)(closes | work.lines[1][at]);
        board->shown[at] = MM_BOARD_CHAIN_BITS > 0 ? (uint16_t)(shown & now) : now; /* a chain shows both */
    }
    work.direct[0] = (uint8_t)(board->direct & (uint8_t)~direct);
    work.direct[1] = (uint8_t)(direct & (uint8_t)~board->direct);
    board->direct = (uint8_t)(board->direct & direct);
#if MM_PADS && MM_BOARD_PULLS > 0
    work.pulls[0] = (board_line)(board->pulls & (uint16_t)~board->wanted);
    work.pulls[1] = (board_line)(board->wanted & (uint16_t)~board->pulls);
    opens = (board_line)(opens | work.pulls[0]);
    closes = (board_line)(closes | work.pulls[1]);
    board->pulls = (uint16_t)(board->pulls & board->wanted);
#elif MM_PADS
    board->pulls = board->wanted;
#endif
    for (close = (uint8_t)(opens == 0u && work.direct[0] == 0u); close < 2u; close++) {
        if (close != 0u) {
            board->direct = direct;
#if MM_PADS && MM_BOARD_PULLS > 0
            board->pulls = board->wanted;
#endif
#if MM_BOARD_CHAIN_BITS > 0
            for (at = 0; at < MM_BOARD_SELECT; at++) {
                board->shown[at] = (uint16_t)(board->shown[at] | work.lines[1][at]);
            }
#endif
            if (closes == 0u && work.direct[1] == 0u) {
                return;
            }
        }
        board_change_all(&work, close);
#if MM_BOARD_CHAIN_BITS > 0
        if (work.shift) {
            board_shift(board); /* all at once, what is shown now */
        }
#endif
    }
}

#if MM_PADS
/* Shows masks, and pulls the lines that are wanted. */
static void board_show_all(mm_board *board, const uint16_t *select, uint8_t direct)
#else
void mm_board_show_masks(mm_board *board, const uint16_t *select, uint8_t direct)
#endif
{
    board_show(board, select, direct);
#if MM_BOARD_FOLLOWS
    board_copy(board, select);
#endif
}

#if MM_PADS
void mm_board_show_masks(mm_board *board, const uint16_t *select, uint8_t direct)
{
    board->wanted = 0u;
    board_show_all(board, select, direct);
}
#endif

void mm_board_show(mm_board *board, const mm_state *state)
{
    uint16_t select[MM_SELECT_MAX];
#if MM_PADS
    const uint16_t pulls = mm_pulls(state, MM_SELECT_MAX);
#endif
    uint8_t at;

    for (at = 0; at < MM_SELECT_MAX; at++) {
        select[at] = mm_select_mask(state, at);
    }
#if MM_PADS && MM_BOARD_GATED
    for (at = 0; at < MM_BOARD_SELECT; at++) { /* the contact pulls its sense line only while its select line is strobed */
        select[at] = (uint16_t)(select[at] | (mm_pulls(state, at) & (uint16_t)~pulls));
    }
#endif
#if MM_PADS
    board->wanted = (uint16_t)(pulls & MM_BOARD_PULLED);
    board_show_all(board, select, mm_direct_mask(state));
#else
    mm_board_show_masks(board, select, mm_direct_mask(state));
#endif
}

void mm_board_refresh(mm_board *board)
{
#if MM_BOARD_STORES > 0
    uint16_t any = board->direct;
    uint8_t at;

#if MM_PADS
    any = (uint16_t)(any | board->pulls);
#endif
    for (at = 0; at < MM_BOARD_SELECT; at++) {
        any = (uint16_t)(any | board->shown[at]);
    }
    if (any == 0u) {
        board_clear_stores();
    }
#endif
#if MM_BOARD_CHAIN_BITS > 0
    board_shift(board);
#endif
    (void)board;
}

void mm_board_follow(const mm_board *board)
{
#if MM_BOARD_FOLLOWS
    mm_board_follow_inline(board);
#else
    (void)board;
#endif
}

#endif
