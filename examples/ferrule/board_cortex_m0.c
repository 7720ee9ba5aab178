/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * The Ferrule on an nRF51822, a Cortex-M0 of 16 MHz, as the machine `microbit` of QEMU has it. Registers are from memory of
 * the nRF51 Series Reference Manual and the ARMv6-M Architecture Reference Manual; they were tried in QEMU only.
 */
#include <string.h>

#include "ferrule.h"

#define REGISTER(address) (*(volatile uint32_t *)(address))

#define UART 0x40002000u
#define UART_STARTRX REGISTER(UART + 0x000u)
#define UART_STARTTX REGISTER(UART + 0x008u)
#define UART_RXDRDY REGISTER(UART + 0x108u)
#define UART_TXDRDY REGISTER(UART + 0x11Cu)
#define UART_INTENSET REGISTER(UART + 0x304u)
#define UART_ENABLE REGISTER(UART + 0x500u)
#define UART_PSELTXD REGISTER(UART + 0x50Cu)
#define UART_PSELRXD REGISTER(UART + 0x514u)
#define UART_RXD REGISTER(UART + 0x518u)
#define UART_TXD REGISTER(UART + 0x51Cu)
#define UART_BAUDRATE REGISTER(UART + 0x524u)
#define TXD_PIN 24u
#define RXD_PIN 25u

#define TIMER0 0x40008000u
#define TIMER0_START REGISTER(TIMER0 + 0x000u)
#define TIMER0_COMPARE0 REGISTER(TIMER0 + 0x140u)
#define TIMER0_SHORTS REGISTER(TIMER0 + 0x200u)
#define TIMER0_INTENSET REGISTER(TIMER0 + 0x304u)
#define TIMER0_BITMODE REGISTER(TIMER0 + 0x508u)
#define TIMER0_PRESCALER REGISTER(TIMER0 + 0x510u)
#define TIMER0_CC0 REGISTER(TIMER0 + 0x540u)

#define WDT 0x40010000u
#define WDT_START REGISTER(WDT + 0x000u)
#define WDT_CRV REGISTER(WDT + 0x504u)
#define WDT_RREN REGISTER(WDT + 0x508u)
#define WDT_RR0 REGISTER(WDT + 0x600u)

#define NVMC 0x4001E000u
#define NVMC_READY REGISTER(NVMC + 0x400u)
#define NVMC_CONFIG REGISTER(NVMC + 0x504u)
#define NVMC_ERASEPAGE REGISTER(NVMC + 0x508u)

#define GPIO_DIRCLR REGISTER(0x5000051Cu)
#define NVIC_ISER REGISTER(0xE000E100u)
#define SCB_AIRCR REGISTER(0xE000ED0Cu)

#define UART_IRQ 2u
#define TIMER0_IRQ 8u
#define KEPT_AT 0x3FC00u /* the last page of the flash, which the linker script leaves free */

int main(void);
void reset(void);
void stop(void);
void on_uart(void);
void on_timer0(void);

extern uint32_t data_from[], data_begin[], data_end[], bss_begin[], bss_end[], stack_top[];

void on_uart(void)
{
    if (UART_RXDRDY != 0u) {
        UART_RXDRDY = 0;
        on_byte((uint8_t)UART_RXD);
    }
}

void on_timer0(void)
{
    TIMER0_COMPARE0 = 0;
    on_tick();
}

void stop(void)
{
    for (;;) { /* a fault, or an interrupt that nobody asked for: the watchdog ends it */
    }
}

void reset(void)
{
    board_release_lines(); /* before the memory is even filled */
    memcpy(data_begin, data_from, (size_t)((uintptr_t)data_end - (uintptr_t)data_begin));
    memset(bss_begin, 0, (size_t)((uintptr_t)bss_end - (uintptr_t)bss_begin));
    (void)main();
    stop();
}

typedef void (*vector)(void);
extern const vector vectors[48];
const vector vectors[48] __attribute__((section(".vectors"), used)) = {
    (vector)(uintptr_t)stack_top, reset, stop, stop, [11] = stop, [14] = stop, [15] = stop,
    [16u + UART_IRQ] = on_uart, [16u + TIMER0_IRQ] = on_timer0,
};

void board_release_lines(void)
{
    GPIO_DIRCLR = 0xFFFFFFFFu; /* inputs, as after a reset: no line is driven. Yours: also what opens your switches. */
}

void board_begin(void)
{
    board_interrupts_off();
    TIMER0_BITMODE = 3;   /* 32 bits */
    TIMER0_PRESCALER = 4; /* a microsecond */
    TIMER0_CC0 = 100;
    TIMER0_SHORTS = 1;         /* begins anew at CC0 */
    TIMER0_INTENSET = 1u << 16; /* COMPARE0 */
    TIMER0_START = 1;
    UART_PSELTXD = TXD_PIN;
    UART_PSELRXD = RXD_PIN;
    UART_BAUDRATE = 0x04000000u; /* 250000 */
    UART_ENABLE = 4;
    UART_INTENSET = 1u << 2; /* RXDRDY */
    UART_STARTRX = 1;
    UART_STARTTX = 1;
    UART_TXDRDY = 1; /* nothing is on its way */
    NVIC_ISER = (1u << UART_IRQ) | (1u << TIMER0_IRQ);
    WDT_CRV = 16384; /* half a second of 32768 Hz */
    WDT_RREN = 1;
    WDT_START = 1;
}

void board_interrupts_off(void)
{
    __asm__ volatile("cpsid i" ::: "memory");
}

void board_interrupts_on(void)
{
    __asm__ volatile("cpsie i" ::: "memory");
}

void board_sleep(void)
{
    /* wfi ends for an interrupt that is pending, also while they are off; it is taken as soon as they are on. */
    __asm__ volatile("dsb\n wfi\n cpsie i" ::: "memory");
}

void board_feed_watchdog(void)
{
    WDT_RR0 = 0x6E524635u;
}

void board_restart(void)
{
    SCB_AIRCR = 0x05FA0004u; /* SYSRESETREQ */
    stop();
}

void board_put(uint8_t byte)
{
    while (UART_TXDRDY == 0u) {
    }
    UART_TXDRDY = 0;
    UART_TXD = byte;
}

static void flash(uint32_t mode)
{
    while (NVMC_READY == 0u) {
    }
    NVMC_CONFIG = mode;
}

void board_load(uint8_t *bytes, uint8_t length)
{
    memcpy(bytes, (const void *)KEPT_AT, length);
}

void board_save(const uint8_t *bytes, uint8_t length)
{
    uint8_t at;

    if (memcmp(bytes, (const void *)KEPT_AT, length) == 0) {
        return;
    }
    flash(2); /* erases; the processor stands still for some 20 ms, and what comes meanwhile is late */
    NVMC_ERASEPAGE = KEPT_AT;
    flash(1); /* writes */
    for (at = 0; at < length; at = (uint8_t)(at + 4u)) {
        uint32_t word = 0xFFFFFFFFu;
        memcpy(&word, bytes + at, length - at < 4 ? (size_t)(length - at) : 4u);
        REGISTER(KEPT_AT + at) = word;
        while (NVMC_READY == 0u) {
        }
    }
    flash(0);
}
