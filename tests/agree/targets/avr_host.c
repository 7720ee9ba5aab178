/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Runs firmware in simavr: standard input is what GPIOR0 reads, GPIOR2 is not 0 while there is more of it, what GPIOR1
 * is given goes to a file. Arguments: firmware, that file, and addresses of functions to watch. For each call of one of
 * these a line on standard error: which one, its cycles from entry to return, the bytes of stack that it took.
 */
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <stdio.h>
#include <stdlib.h>

enum { GPIOR0 = 0x3E, GPIOR1 = 0x4A, GPIOR2 = 0x4B }; /* ATmega328P data sheet, register summary */

static FILE *rows;

static uint8_t next(struct avr_t *avr, avr_io_addr_t address, void *parameter)
{
    int byte = getchar();

    (void)avr, (void)address, (void)parameter;
    return byte == EOF ? 0 : (uint8_t)byte;
}

static uint8_t left(struct avr_t *avr, avr_io_addr_t address, void *parameter)
{
    int byte = getchar();

    (void)avr, (void)address, (void)parameter;
    if (byte == EOF) {
        return 0;
    }
    ungetc(byte, stdin);
    return 1;
}

static void put(struct avr_t *avr, avr_io_addr_t address, uint8_t byte, void *parameter)
{
    (void)avr, (void)address, (void)parameter;
    putc(byte, rows);
}

static unsigned stack_pointer(const avr_t *avr)
{
    return (unsigned)(avr->data[R_SPL] | avr->data[R_SPH] << 8);
}

static void watch(avr_t *avr, int functions, const avr_flashaddr_t *entries)
{
    static int inside = -1;
    static avr_flashaddr_t back;
    static avr_cycle_count_t began;
    static unsigned from, lowest;
    unsigned sp = stack_pointer(avr);
    int i;

    if (inside >= 0) {
        lowest = sp < lowest ? sp : lowest;
        /* The call's own address has been taken off the stack only when it has really returned. */
        if (avr->pc == back && sp == from + 2) {
            fprintf(stderr, "call %d %lu %u\n", inside, (unsigned long)(avr->cycle - began), from + 2 - lowest);
            inside = -1;
        }
        return;
    }
    for (i = 0; i < functions; i++) {
        if (avr->pc == entries[i]) {
            inside = i;
            back = (avr_flashaddr_t)(avr->data[sp + 1] << 8 | avr->data[sp + 2]) * 2u;
            began = avr->cycle;
            from = lowest = sp;
        }
    }
}

int main(int count, char **words)
{
    elf_firmware_t firmware = {0};
    avr_flashaddr_t entries[16];
    avr_t *avr;
    int functions = count - 3;
    int status = cpu_Running;
    int i;

    if (count < 3 || functions > 16 || elf_read_firmware(words[1], &firmware) != 0) {
        return 2;
    }
    rows = fopen(words[2], "wb");
    if (rows == NULL) {
        return 2;
    }
    for (i = 0; i < functions; i++) {
        entries[i] = (avr_flashaddr_t)strtoul(words[3 + i], NULL, 0);
    }
    avr = avr_make_mcu_by_name("atmega328p");
    avr_init(avr);
    avr->log = LOG_ERROR;
    avr->frequency = 16000000;
    avr_load_firmware(avr, &firmware);
    avr_register_io_read(avr, GPIOR0, next, NULL);
    avr_register_io_read(avr, GPIOR2, left, NULL);
    avr_register_io_write(avr, GPIOR1, put, NULL);
    while (status != cpu_Done && status != cpu_Crashed) {
        watch(avr, functions, entries);
        status = avr_run(avr);
    }
    fclose(rows);
    return status == cpu_Done ? 0 : 1;
}
