/* SPDX-License-Identifier: MIT */
/* Runs firmware in simavr: standard input is what GPIOR0 reads, what GPIOR1 is given goes to a file. */
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

int main(int count, char **words)
{
    elf_firmware_t firmware = {0};
    avr_t *avr;
    int status = cpu_Running;

    if (count != 3 || elf_read_firmware(words[1], &firmware) != 0 || (rows = fopen(words[2], "wb")) == NULL) {
        return 2;
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
        status = avr_run(avr);
    }
    fclose(rows);
    return status == cpu_Done ? 0 : 1;
}
