/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Runs firmware for an ATmega328P in simavr and tells when it writes its ports. Arguments: firmware, the address of a function.
 * For each call of the function a line `call`; for each write of an output port within it a line with the port, the value and the
 * cycles from entry; at its return `done` and the cycles from entry.
 */
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>

enum { PORT_B = 0x25, PORT_C = 0x28, PORT_D = 0x2B }; /* ATmega328P data sheet, register summary */

static bool inside;
static avr_cycle_count_t began;

static void put(struct avr_t *avr, avr_io_addr_t address, uint8_t value, void *parameter)
{
    (void)parameter;
    avr->data[address] = value;
    if (inside) {
        printf("%c %d %lu\n", address == PORT_B ? 'B' : address == PORT_C ? 'C' : 'D', value, (unsigned long)(avr->cycle - began));
    }
}

int main(int count, char **words)
{
    elf_firmware_t firmware = {0};
    avr_flashaddr_t entry, back = 0;
    unsigned from = 0;
    avr_t *avr;
    int status = cpu_Running;

    if (count != 3 || elf_read_firmware(words[1], &firmware) != 0) {
        return 2;
    }
    entry = (avr_flashaddr_t)strtoul(words[2], NULL, 0);
    avr = avr_make_mcu_by_name("atmega328p");
    avr_init(avr);
    avr->log = LOG_ERROR;
    avr->frequency = 16000000;
    avr_load_firmware(avr, &firmware);
    avr_register_io_write(avr, PORT_B, put, NULL);
    avr_register_io_write(avr, PORT_C, put, NULL);
    avr_register_io_write(avr, PORT_D, put, NULL);
    while (status != cpu_Done && status != cpu_Crashed) {
        unsigned sp = (unsigned)(avr->data[R_SPL] | avr->data[R_SPH] << 8);
        if (!inside && avr->pc == entry) {
            inside = true;
            back = (avr_flashaddr_t)(avr->data[sp + 1] << 8 | avr->data[sp + 2]) * 2u;
            began = avr->cycle;
            from = sp;
            printf("call\n");
        } else if (inside && avr->pc == back && sp == from + 2) {
            inside = false;
            printf("done %lu\n", (unsigned long)(avr->cycle - began));
        }
        status = avr_run(avr);
    }
    return status == cpu_Done ? 0 : 1;
}
