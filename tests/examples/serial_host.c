/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Runs firmware on a simulated ATmega328P with a serial line. Arguments: firmware, the content of the EEPROM or -, milliseconds to run.
 * Standard input: records of a time in microseconds (4 bytes, the low one first), a length (1 byte) and the bytes that begin to
 * go to the firmware then. Standard output: what the firmware sends.
 */
#include <simavr/avr_eeprom.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <stdio.h>
#include <stdlib.h>

#define MHZ 16u

static uint8_t line[1u << 20];
static uint32_t due[1u << 20]; /* microseconds */
static size_t count, next;
static int open_for_more = 1;

static void out(struct avr_irq_t *irq, uint32_t value, void *parameter)
{
    (void)irq, (void)parameter;
    putchar((int)(value & 0xFFu));
}

static void more(struct avr_irq_t *irq, uint32_t value, void *parameter)
{
    (void)irq, (void)value, (void)parameter;
    open_for_more = 1;
}

static void no_more(struct avr_irq_t *irq, uint32_t value, void *parameter)
{
    (void)irq, (void)value, (void)parameter;
    open_for_more = 0;
}

static void no_pause(avr_t *avr, avr_cycle_count_t cycles)
{
    (void)avr, (void)cycles; /* time is that of the simulated clock */
}

int main(int words, char **word)
{
    elf_firmware_t firmware = {0};
    uint8_t head[5];
    uint8_t kept[1024];
    uint32_t flags = 0;
    avr_irq_t *input;
    avr_t *avr;
    int status = cpu_Running;
    uint64_t end;

    if (words != 4 || elf_read_firmware(word[1], &firmware) != 0) {
        return 2;
    }
    end = strtoull(word[3], NULL, 0) * 1000u * MHZ;
    while (fread(head, 1, sizeof head, stdin) == sizeof head) {
        uint32_t at = head[0] | (uint32_t)head[1] << 8 | (uint32_t)head[2] << 16 | (uint32_t)head[3] << 24;
        size_t i, got = fread(line + count, 1, head[4], stdin);
        for (i = 0; i < got; i++) {
            due[count++] = at;
        }
    }
    avr = avr_make_mcu_by_name("atmega328p");
    avr_init(avr);
    avr->log = LOG_NONE;
    avr->frequency = MHZ * 1000000u;
    avr->sleep = no_pause;
    avr_load_firmware(avr, &firmware);
    if (word[2][0] != '-') {
        FILE *file = fopen(word[2], "rb");
        avr_eeprom_desc_t content = {kept, 0, 0};
        if (file == NULL) {
            return 2;
        }
        content.size = (uint16_t)fread(kept, 1, sizeof kept, file);
        fclose(file);
        avr_ioctl(avr, AVR_IOCTL_EEPROM_SET, &content);
    }
    avr_ioctl(avr, AVR_IOCTL_UART_GET_FLAGS('0'), &flags);
    flags &= ~(uint32_t)(AVR_UART_FLAG_STDIO | AVR_UART_FLAG_POLL_SLEEP);
    avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
    input = avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT);
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT), out, NULL);
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUT_XON), more, NULL);
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUT_XOFF), no_more, NULL);
    while (avr->cycle < end && status != cpu_Done && status != cpu_Crashed) {
        if (next < count && open_for_more && avr->cycle >= (uint64_t)due[next] * MHZ) {
            avr_raise_irq(input, line[next++]);
        }
        status = avr_run(avr);
    }
    return status == cpu_Done || status == cpu_Crashed;
}
