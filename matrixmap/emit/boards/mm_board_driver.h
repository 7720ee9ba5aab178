/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * The code of a board's driver. mm_board_ADAPTER_MACHINE.c includes it once, behind its tables; nobody else does.
 *
 * The tables: mm_board_pins, a port and the bytes of a mask, low one first, for each pin; mm_board_contacts, two bytes
 * for each contact in order: where (0 and up: that store; MM_BOARD_CHAIN; MM_BOARD_PIN; MM_BOARD_NONE) and the bit or
 * the pin. Where a level is the active one, the tables say it: a pin of 0x80 and up is active low.
 */
#ifndef MM_BOARD_DRIVER_H
#define MM_BOARD_DRIVER_H

#define MM_BOARD_CHAIN 0xFDu
#define MM_BOARD_PIN 0xFEu
#define MM_BOARD_NONE 0xFFu
#define MM_BOARD_LOW 0x80u

#define MM_BOARD_PIN_BYTES (1u + sizeof(mm_board_bits))

/* What is to be written to one port. */
typedef struct board_port {
    mm_board_bits mask;
    mm_board_bits bits;
} board_port;

/* The port of a pin, and what makes it active, or not. */
static uint8_t board_pin(uint8_t pin, bool active, board_port *put)
{
    const uint8_t *at = &mm_board_pins[(uint16_t)(pin & 0x7Fu) * MM_BOARD_PIN_BYTES];
    mm_board_bits mask = MM_READ(at + 1);

#if MM_BOARD_PORT_BITS > 8
    mask = (mm_board_bits)(mask | ((mm_board_bits)MM_READ(at + 2) << 8));
#endif
#if MM_BOARD_PORT_BITS > 16
    mask |= (mm_board_bits)MM_READ(at + 3) << 16;
    mask |= (mm_board_bits)MM_READ(at + 4) << 24;
#endif
    put->mask = mask;
    put->bits = active != ((pin & MM_BOARD_LOW) != 0u) ? mask : (mm_board_bits)0u;
    return MM_READ(at);
}

/* Makes a pin active, or not. */
static void board_set(uint8_t pin, bool active)
{
    board_port put;
    uint8_t port = board_pin(pin, active, &put);

    mm_board_write(port, put.mask, put.bits);
}

#if MM_BOARD_CHAIN_BITS > 0 || MM_BOARD_STORES > 0
static void board_pulse(uint8_t pin)
{
    mm_board_wait(MM_BOARD_SETUP_NS);
    board_set(pin, true);
    mm_board_wait(MM_BOARD_PULSE_NS);
    board_set(pin, false);
    mm_board_wait(MM_BOARD_HOLD_NS);
}
#endif

#if MM_BOARD_STORES > 0
/* The pins of store n: its address from the bit that counts 1 on, then data, strobe, reset. */
static uint8_t board_store_pin(uint8_t store, uint8_t at)
{
    return MM_READ(&mm_board_stores[(uint16_t)store * (MM_BOARD_ADDRESS + 3u) + at]);
}

static void board_store(uint8_t store, uint8_t bit, bool closed)
{
    board_port ports[MM_BOARD_PORTS];
    uint8_t at, left = bit;

    for (at = 0; at < MM_BOARD_PORTS; at++) {
        ports[at].mask = 0u;
        ports[at].bits = 0u;
    }
    for (at = 0; at <= MM_BOARD_ADDRESS; at++) { /* the address, and data behind it */
        uint8_t pin = board_store_pin(store, at);
        bool active = at < MM_BOARD_ADDRESS ? (left & 1u) != 0u : closed;
        if (pin != MM_BOARD_NONE) {
            board_port put;
            board_port *port = &ports[board_pin(pin, active, &put)];
            port->mask = (mm_board_bits)(port->mask | put.mask);
            port->bits = (mm_board_bits)(port->bits | put.bits);
        }
        left = (uint8_t)(left >> 1);
    }
    for (at = 0; at < MM_BOARD_PORTS; at++) { /* the strobe is inactive, so the order of these does not matter */
        if (ports[at].mask != 0u) {
            mm_board_write(at, ports[at].mask, ports[at].bits);
        }
    }
    board_pulse(board_store_pin(store, MM_BOARD_ADDRESS + 1u));
}

static void board_clear_stores(void)
{
    uint8_t store;

    for (store = 0; store < MM_BOARD_STORES; store++) {
        uint8_t reset = board_store_pin(store, MM_BOARD_ADDRESS + 2u);
        board_set(board_store_pin(store, MM_BOARD_ADDRESS + 1u), false);
        if (reset != MM_BOARD_NONE) {
            board_pulse(reset);
        } else {
            uint8_t contact;
            for (contact = 0; contact < MM_BOARD_CONTACTS; contact++) {
                if (MM_READ(&mm_board_contacts[2u * contact]) == store) {
                    board_store(store, MM_READ(&mm_board_contacts[2u * contact + 1u]), false);
                }
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
    if (contact >= MM_BOARD_CROSSPOINTS) {
        return board_bit(board->direct, (uint8_t)(contact - MM_BOARD_CROSSPOINTS));
    }
    return board_bit(board->shown[contact / MM_BOARD_SENSE], contact % MM_BOARD_SENSE);
}

/* Shifts out what is shown: the contact of each bit of the chain, the last bit first, then shows all at once. */
static void board_shift(const mm_board *board)
{
    uint8_t bit;

    for (bit = MM_BOARD_CHAIN_BITS; bit > 0u; bit--) {
        uint8_t contact = MM_READ(&mm_board_chain[bit - 1u]);
        board_set(MM_BOARD_CHAIN_IN, contact != MM_BOARD_NONE && board_is_shown(board, contact));
        board_pulse(MM_BOARD_CHAIN_CLOCK);
    }
    board_pulse(MM_BOARD_CHAIN_LATCH);
}
#endif

/* Closes or opens one contact; true if it waits for the chain to be shifted. */
static bool board_work(uint8_t contact, bool closed)
{
    uint8_t where = MM_READ(&mm_board_contacts[2u * contact]);
    uint8_t bit = MM_READ(&mm_board_contacts[2u * contact + 1u]);

    if (where == MM_BOARD_PIN) {
        board_set(bit, closed);
    }
#if MM_BOARD_STORES > 0
    if (where < MM_BOARD_STORES) {
        board_store(where, bit, closed);
    }
#endif
    return where == MM_BOARD_CHAIN;
}

/* Closes or opens the contacts of `changed`; where there is a chain, it shows what is shown now. */
static void board_change(const mm_board *board, const uint16_t *changed, uint8_t direct, bool closed)
{
    bool shift = false;
    uint8_t select, contact, first = 0u;

    for (select = 0; select < MM_BOARD_SELECT; select++) {
        uint16_t left = changed[select];
        for (contact = first; left != 0u; contact++) {
            if ((left & 1u) != 0u) {
                shift = board_work(contact, closed) || shift;
            }
            left = (uint16_t)(left >> 1);
        }
        first = (uint8_t)(first + MM_BOARD_SENSE);
    }
    for (contact = MM_BOARD_CROSSPOINTS; direct != 0u; contact++) {
        if ((direct & 1u) != 0u) {
            shift = board_work(contact, closed) || shift;
        }
        direct = (uint8_t)(direct >> 1);
    }
#if MM_BOARD_CHAIN_BITS > 0
    if (shift) {
        board_shift(board);
    }
#else
    (void)shift;
    (void)board;
#endif
}

void mm_board_begin(mm_board *board)
{
    uint8_t at;

    for (at = 0; at < MM_SELECT_MAX; at++) {
        board->shown[at] = 0u;
    }
    board->direct = 0u;
    for (at = 0; at < sizeof board->follow.masks; at++) {
        board->follow.masks[at] = 0u;
    }
    board->follow.shown = 0u;
    for (at = 0; at < MM_BOARD_CONTACTS; at++) {
        if (MM_READ(&mm_board_contacts[2u * at]) == MM_BOARD_PIN) {
            board_set(MM_READ(&mm_board_contacts[2u * at + 1u]), false);
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

void mm_board_show_masks(mm_board *board, const uint16_t *select, uint8_t direct)
{
    uint16_t changed[MM_SELECT_MAX];
    uint16_t any = 0u;
    uint8_t at, change;

    for (at = 0; at < MM_BOARD_SELECT; at++) { /* first what opens */
        changed[at] = (uint16_t)(board->shown[at] & ~select[at]);
        board->shown[at] = (uint16_t)(board->shown[at] & select[at]);
        any = (uint16_t)(any | changed[at]);
    }
    change = (uint8_t)(board->direct & (uint8_t)~direct);
    board->direct = (uint8_t)(board->direct & direct);
    if (any != 0u || change != 0u) {
        board_change(board, changed, change, false);
    }
    any = 0u;
    for (at = 0; at < MM_BOARD_SELECT; at++) { /* then what closes */
        changed[at] = (uint16_t)(select[at] & ~board->shown[at]);
        board->shown[at] = select[at];
        any = (uint16_t)(any | changed[at]);
    }
    change = (uint8_t)(direct & (uint8_t)~board->direct);
    board->direct = direct;
    if (any != 0u || change != 0u) {
        board_change(board, changed, change, true);
    }
}

void mm_board_show(mm_board *board, const mm_state *state)
{
    uint16_t select[MM_SELECT_MAX];
    uint8_t at;

    for (at = 0; at < MM_SELECT_MAX; at++) {
        select[at] = mm_select_mask(state, at);
    }
    mm_board_show_masks(board, select, mm_direct_mask(state));
#if MM_BOARD_FOLLOWS
    mm_follow_copy(&board->follow, state);
#endif
}

void mm_board_refresh(mm_board *board)
{
#if MM_BOARD_STORES > 0
    uint16_t any = board->direct;
    uint8_t at;

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
    mm_lines strobed = (mm_lines)((~(uint32_t)mm_board_read(MM_BOARD_SELECT_PORT) >> MM_BOARD_SELECT_SHIFT) & MM_BOARD_SELECT_BITS);
    uint32_t low = mm_follow_sense(&board->follow, strobed);

    mm_board_write(MM_BOARD_SENSE_PORT, (mm_board_bits)((uint32_t)MM_BOARD_SENSE_BITS << MM_BOARD_SENSE_SHIFT),
                   (mm_board_bits)((uint32_t)(~low & MM_BOARD_SENSE_BITS) << MM_BOARD_SENSE_SHIFT));
#else
    (void)board;
#endif
}

#endif
