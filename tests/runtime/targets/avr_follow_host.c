/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Works the select lines of avr_follow.c in libsimavr and counts the cycles from a change of them to the change of the
 * sense lines. Prints `alone` and `close`, each with the count, the median and the worst: changes with time between
 * them, and changes that can come while the interrupt of the one before still runs. A third part changes the masks
 * meanwhile. Ends with 1 and a word on standard error if the sense lines are ever other than some masks ask for.
 *
 * libsimavr takes no cycle for the response to an interrupt, so each counts `response` cycles here.
 *
 * Arguments: firmware, device, address of `which`, select lines, sense lines, vectors in bytes, response, rounds.
 */
#include <simavr/avr_ioport.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define MOST 2000u /* cycles: no change comes any more */
#define QUIET 600u /* cycles: the interrupts of two changes are over */
#define LOOP 20000u /* cycles: the loop has gone round at least twice */
#define TRIALS 200000u
#define CLOSE 250u /* cycles: more than an interrupt takes */
#define READ 100u /* cycles: until the interrupt has read the lines, and more */
#define CLI 0x94F8 /* instructions */
#define RETI 0x9518
#define WAYS 16u

static avr_t *avr;
static avr_irq_t *pins[16];
static unsigned which_at, select_lines, sense_lines, vectors, response;
static int wide; /* 1: the ports of the ATmega1284P */
static unsigned long entered; /* interrupts so far */
static unsigned strobed, before[2]; /* now, and the last two before */
static int interrupts_before;
static avr_flashaddr_t ahead[WAYS]; /* the instruction before a critical section of the loop, for each way into one */
static unsigned sections; /* how many of them there are */
static int learnt;        /* all of them are known */
static unsigned costs[TRIALS];

static unsigned draw(unsigned below)
{
    static unsigned long long seed = 20260101u;
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    return (unsigned)(seed >> 33) % below;
}

static unsigned word_at(avr_flashaddr_t at)
{
    return avr->flash[at] | (unsigned)avr->flash[at + 1u] << 8;
}

static unsigned long clock_now(void)
{
    return (unsigned long)avr->cycle + entered * response;
}

static unsigned shown(void)
{
    if (wide) {
        return avr->data[0x27] | (sense_lines > 8u ? (unsigned)avr->data[0x2A] << 8 : 0u); /* DDRC, DDRD */
    }
    return (avr->data[0x27] & 0x3Fu) | (avr->data[0x24] & 3u) << 6; /* DDRC, DDRB */
}

static unsigned asked(unsigned lines, unsigned set)
{
    unsigned sense = 0;
    for (unsigned line = 0; line < select_lines; line++) {
        if (lines >> line & 1u) {
            unsigned at = line + 3u * set;
            sense |= 1u << at % sense_lines;
            sense |= sense_lines > 8u ? 1u << (at + 9u) % sense_lines : 0u;
        }
    }
    return sense;
}

static void fail(const char *what)
{
    fprintf(stderr, "%s: strobed %x, before %x, shown %x\n", what, strobed, before[0], shown());
    exit(1);
}

/* Whether one set of masks asks for what is shown, for the lines now or before: a change comes while the interrupt of the
 * one before still runs, and between its reading of one port of select lines and of the other. */
static int asked_of_late(void)
{
    unsigned lines[3] = {strobed, before[0], before[1]};
    unsigned found = 0;
    for (unsigned i = 0; i < 9u; i++) {
        unsigned mixed = (lines[i % 3u] & 0xFFu) | (lines[i / 3u] & 0xFF00u);
        found += shown() == asked(mixed, 0) || shown() == asked(mixed, 1);
    }
    return found != 0;
}

/* One instruction. Where interrupts come on again, the sense lines must be what one set of masks asks for. */
static void step(void)
{
    avr_flashaddr_t from = avr->pc;
    int mode = avr_run(avr);
    if (mode == cpu_Done || mode == cpu_Crashed) {
        fail("the firmware stopped");
    }
    entered += avr->pc > 0u && avr->pc < vectors;
    if (interrupts_before && word_at(avr->pc) == CLI && word_at(from) != RETI && !learnt) {
        unsigned known = 0;
        while (known < sections && ahead[known] != from) {
            known++;
        }
        if (known == WAYS) {
            fail("too many ways into critical sections");
        }
        ahead[known] = from;
        sections += known == sections;
    }
    if (avr->sreg[S_I] && !interrupts_before) {
        if (!asked_of_late()) {
            fail("torn");
        }
    }
    interrupts_before = avr->sreg[S_I];
}

static void run(unsigned cycles)
{
    unsigned long until = clock_now() + cycles;
    while (clock_now() < until) {
        step();
    }
}

static void strobe(unsigned lines)
{
    before[1] = before[0];
    before[0] = strobed;
    strobed = lines;
    for (unsigned line = 0; line < (select_lines <= 8u ? 8u : 16u); line++) {
        avr_raise_irq(pins[line], !(lines >> line & 1u));
    }
}

/* Every set of up to eight lines in turn; of more lines all, one, or any. */
static unsigned next_lines(unsigned trial)
{
    unsigned all = (1u << select_lines) - 1u;
    if (select_lines <= 8u) {
        return trial & all;
    }
    return trial % 4u == 0u ? all : trial % 4u == 1u ? 1u << draw(select_lines) : trial % 4u == 2u ? 0u : draw(all + 1u);
}

/* Goes to where interrupts are off, for a critical section or another interrupt, and a little further. */
static void seek_section(void)
{
    for (unsigned i = 0; i < LOOP && avr->sreg[S_I]; i++) {
        step();
    }
    for (unsigned i = draw(8); i > 0; i--) {
        step();
    }
}

/* Goes to the instruction before a critical section: an interrupt that comes now returns into it, and the first
 * instruction after the return is carried out before the next interrupt. */
static void seek_section_ahead(unsigned which)
{
    avr_flashaddr_t at = ahead[which % sections];
    for (unsigned i = 0; i < LOOP && !(avr->pc == at && avr->sreg[S_I]); i++) {
        step();
    }
}

static int compare(const void *one, const void *other)
{
    unsigned a = *(const unsigned *)one, b = *(const unsigned *)other;
    return (a > b) - (a < b);
}

static unsigned measure(void)
{
    unsigned long began = clock_now();
    unsigned wanted = asked(strobed, 0);
    while (shown() != wanted) {
        if (clock_now() - began > MOST) {
            fail("never shown");
        }
        step();
    }
    return (unsigned)(clock_now() - began);
}

/* All lines but those that close the sense line of `line`: as few as make a difference. */
static unsigned all_but(unsigned line)
{
    unsigned lines = 0;
    for (unsigned other = 0; other < select_lines; other++) {
        unsigned apart = (asked(1u << other, 0) >> line % sense_lines & 1u) == 0u;
        lines |= apart << other;
    }
    return lines;
}

/* Two changes of which the second may come while the interrupt of the first runs. First those that take longest: nearly
 * all lines are strobed, then all, or the other way round, from before each critical section, the second change at every
 * moment up to after the interrupt has read the lines. Then any change from anywhere. */
static void change_closely(unsigned trial)
{
    unsigned part = trial / sections / READ;
    unsigned all = (1u << select_lines) - 1u, less = all_but(part / 2u % select_lines);
    run(draw(MOST));
    strobe(0); /* otherwise what the second change asks for may be shown already */
    run(QUIET);
    if (trial < sections * READ * 2u * select_lines) {
        seek_section_ahead(trial);
        strobe(part % 2u ? all : less);
        run(trial / sections % READ);
        strobe(part % 2u ? less : all);
    } else {
        if (trial % 2u == 0u) {
            seek_section_ahead(draw(sections));
        }
        strobe(next_lines(draw(1u << select_lines)));
        run(draw(CLOSE));
        strobe(next_lines(trial));
    }
}

/* A change long after another one, mostly where interrupts are off. */
static void change_alone(unsigned trial)
{
    run(draw(MOST));
    strobe(trial % 2u ? 0u : draw(1u << select_lines));
    run(QUIET + draw(MOST));
    if (trial % 4u == 1u) {
        seek_section_ahead(draw(sections));
    } else if (trial % 4u != 0u) {
        seek_section();
    }
    strobe(next_lines(trial / 8u));
}

static void count(const char *name, unsigned trials, void (*change)(unsigned trial))
{
    unsigned found = 0;
    for (unsigned trial = 0; trial < trials && found < TRIALS; trial++) {
        change(trial);
        if (shown() != asked(strobed, 0)) {
            costs[found++] = measure();
        }
        run(QUIET);
        if (shown() != asked(strobed, 0)) {
            fail("overwritten"); /* by what the loop took from lines of before */
        }
    }
    qsort(costs, found, sizeof costs[0], compare);
    printf("%s %u %u %u\n", name, found, costs[found / 2u], costs[found - 1u]);
}

int main(int words, char **word)
{
    elf_firmware_t firmware = {0};
    if (words != 9 || elf_read_firmware(word[1], &firmware) != 0) {
        return 2;
    }
    which_at = (unsigned)strtoul(word[3], NULL, 0);
    select_lines = (unsigned)strtoul(word[4], NULL, 0);
    sense_lines = (unsigned)strtoul(word[5], NULL, 0);
    vectors = (unsigned)strtoul(word[6], NULL, 0);
    response = (unsigned)strtoul(word[7], NULL, 0);
    unsigned rounds = (unsigned)strtoul(word[8], NULL, 0);
    avr = avr_make_mcu_by_name(word[2]);
    avr_init(avr);
    avr->log = LOG_ERROR;
    avr_load_firmware(avr, &firmware);
    wide = strcmp(word[2], "atmega1284p") == 0;
    for (unsigned line = 0; line < 16u; line++) {
        char port = !wide ? 'D' : line < 8u ? 'A' : 'B';
        pins[line] = avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ(port), (int)line % 8);
    }
    strobe(0);
    run(20u * LOOP);
    learnt = 1;
    if (sections < 2u) { /* to read the clock, and to show new masks */
        fail("too few critical sections");
    }
    unsigned trials = rounds * 8u * 256u;
    count("alone", trials, change_alone);
    count("close", sections * READ * 2u * select_lines + trials, change_closely);
    for (unsigned turn = 0; turn < 200u * rounds; turn++) {
        for (unsigned changes = draw(6); changes > 0; changes--) {
            run(draw(MOST));
            avr->data[which_at] = (uint8_t)draw(2);
            run(QUIET + draw(LOOP)); /* the loop writes the other masks somewhere in there */
            strobe(next_lines(draw(1u << select_lines)));
        }
        run(QUIET);
        avr->data[which_at] = (uint8_t)draw(2);
        run(LOOP);
        if (shown() != asked(strobed, avr->data[which_at])) {
            fail("stale");
        }
    }
    return 0;
}
