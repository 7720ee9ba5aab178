/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Runs the firmware in libsimavr. Standard input: steps of input bytes and time (two bytes, the low one first). Before
 * each loop of the firmware it puts the next step in place; after each it prints a line: cycles of both input functions,
 * cycles of mm_advance, what mm_advance returned, and the masks. At the end: the deepest stack of both, in bytes.
 * Arguments: firmware, device, then addresses and sizes: input function, a second one or again the same, mm_advance,
 * masks, their bytes, input, its bytes, now.
 */
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <stdio.h>
#include <stdlib.h>

enum { INPUT_FUNCTION, SECOND_FUNCTION, ADVANCE, MASKS, MASK_BYTES, INPUT, INPUT_BYTES, NOW, NUMBERS };

int main(int count, char **words)
{
    elf_firmware_t firmware = {0};
    unsigned long number[NUMBERS];
    avr_flashaddr_t back = 0;
    avr_cycle_count_t began = 0, cycles[2] = {0, 0};
    unsigned entered = 0, deepest = 0;
    int inside = -1;
    if (count != 3 + NUMBERS || elf_read_firmware(words[1], &firmware) != 0) {
        return 2;
    }
    for (int i = 0; i < NUMBERS; i++) {
        number[i] = strtoul(words[3 + i], NULL, 0);
    }
    avr_t *avr = avr_make_mcu_by_name(words[2]);
    avr_init(avr);
    avr->log = LOG_ERROR;
    avr_load_firmware(avr, &firmware);
    for (;;) {
        unsigned sp = avr->data[R_SPL] | avr->data[R_SPH] << 8;
        if (inside < 0 && (avr->pc == number[INPUT_FUNCTION] || avr->pc == number[SECOND_FUNCTION] ||
                           avr->pc == number[ADVANCE])) {
            inside = avr->pc == number[ADVANCE];
            back = (avr_flashaddr_t)(avr->data[sp + 1] << 8 | avr->data[sp + 2]) * 2u;
            began = avr->cycle;
            entered = sp + 2;
        } else if (inside >= 0 && avr->pc == back) {
            cycles[inside] += avr->cycle - began;
            if (inside == 1) {
                uint8_t step[64];
                size_t size = number[INPUT_BYTES] + 2u;
                printf("%u %u", (unsigned)cycles[0], (unsigned)cycles[1]);
                printf(" %u", (unsigned)(avr->data[24] | avr->data[25] << 8)); /* results are in r24 and r25 */
                for (unsigned long i = 0; i < number[MASK_BYTES]; i++) {
                    printf(" %u", avr->data[number[MASKS] + i]);
                }
                putchar('\n');
                cycles[0] = cycles[1] = 0;
                if (fread(step, 1, size, stdin) != size) {
                    printf("stack %u\n", deepest);
                    return 0;
                }
                for (unsigned long i = 0; i < number[INPUT_BYTES]; i++) {
                    avr->data[number[INPUT] + i] = step[i];
                }
                avr->data[number[NOW]] = step[size - 2];
                avr->data[number[NOW] + 1] = step[size - 1];
            }
            inside = -1;
        }
        if (inside >= 0 && entered - sp > deepest) {
            deepest = entered - sp;
        }
        int mode = avr_run(avr);
        if (mode == cpu_Done || mode == cpu_Crashed) {
            fprintf(stderr, "the firmware stopped\n");
            return 1;
        }
    }
}
