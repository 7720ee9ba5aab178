/* SPDX-License-Identifier: MIT */
/*
 * Runs the firmware in libsimavr. Standard input: steps of 10 bytes, the boot report and the time (low byte first).
 * Before each loop of the firmware it puts the next step in place; after each it prints a line: cycles of
 * mm_boot_report, cycles of mm_advance, the time that mm_advance returned, and the masks. At the end: the lowest stack
 * pointer. Arguments: firmware, device, and the addresses (from avr-nm) of mm_boot_report, mm_advance, state.closed,
 * masks in it, report, now, wait.
 */
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <stdio.h>
#include <stdlib.h>

static unsigned long argument(const char *text)
{
    return strtoul(text, NULL, 0);
}

static avr_flashaddr_t return_address(const avr_t *avr, unsigned sp)
{
    return (avr_flashaddr_t)(avr->data[sp + 1] << 8 | avr->data[sp + 2]) * 2u;
}

int main(int count, char **words)
{
    elf_firmware_t firmware = {0};
    avr_flashaddr_t entry[2], back = 0;
    avr_cycle_count_t began = 0, cycles[2] = {0, 0};
    unsigned lowest = 0xFFFF, entered_sp = 0, deepest = 0;
    int inside = -1;
    if (count != 10 || elf_read_firmware(words[1], &firmware) != 0) {
        return 2;
    }
    avr_t *avr = avr_make_mcu_by_name(words[2]);
    avr_init(avr);
    avr->log = LOG_ERROR;
    avr_load_firmware(avr, &firmware);
    entry[0] = (avr_flashaddr_t)argument(words[3]);
    entry[1] = (avr_flashaddr_t)argument(words[4]);
    unsigned long closed = argument(words[5]), masks = argument(words[6]), report = argument(words[7]);
    unsigned long now = argument(words[8]), wait = argument(words[9]);
    for (;;) {
        unsigned sp = avr->data[R_SPL] | avr->data[R_SPH] << 8;
        if (inside >= 0 && sp < lowest) {
            lowest = sp;
        }
        if (inside < 0 && (avr->pc == entry[0] || avr->pc == entry[1])) {
            inside = avr->pc == entry[1];
            back = return_address(avr, sp);
            began = avr->cycle;
            entered_sp = sp + 2;
            lowest = sp;
        } else if (inside >= 0 && avr->pc == back) {
            cycles[inside] = avr->cycle - began;
            if (entered_sp - lowest > deepest) {
                deepest = entered_sp - lowest;
            }
            if (inside == 1) {
                uint8_t step[10];
                printf("%u %u", (unsigned)cycles[0], (unsigned)cycles[1]);
                inside = -1;
                /* The result is in r24, r25. */
                printf(" %u", (unsigned)(avr->data[24] | avr->data[25] << 8));
                for (unsigned long i = 0; i < masks; i++) {
                    printf(" %u", avr->data[closed + i]);
                }
                putchar('\n');
                if (fread(step, 1, 10, stdin) != 10) {
                    printf("stack %u\n", deepest);
                    return 0;
                }
                for (int i = 0; i < 8; i++) {
                    avr->data[report + (unsigned long)i] = step[i];
                }
                avr->data[now] = step[8];
                avr->data[now + 1] = step[9];
                (void)wait;
            }
            inside = -1;
        }
        int mode = avr_run(avr);
        if (mode == cpu_Done || mode == cpu_Crashed) {
            fprintf(stderr, "the firmware stopped\n");
            return 1;
        }
    }
}
