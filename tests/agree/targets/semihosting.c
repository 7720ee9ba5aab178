/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * Bare Cortex-M and RISC-V under QEMU: tape.bin and rows.bin by semihosting (Arm, Semihosting for AArch32 and AArch64;
 * RISC-V International, Semihosting), without a C library.
 */
#include <string.h>

#include "platform.h"

int main(void);
void reset(void);

enum { SYS_OPEN = 0x01, SYS_CLOSE = 0x02, SYS_WRITE = 0x05, SYS_READ = 0x06, SYS_EXIT = 0x18 };
enum { OPEN_READ = 1, OPEN_WRITE = 5, EXIT_DONE = 0x20026 };

static uint32_t call(uint32_t operation, uint32_t argument)
{
#if defined(__riscv)
    register uint32_t a0 __asm__("a0") = operation;
    register uint32_t a1 __asm__("a1") = argument;

    __asm__ volatile(".balign 16\n.option push\n.option norvc\nslli zero, zero, 0x1f\nebreak\nsrai zero, zero, 7\n.option pop"
                     : "+r"(a0)
                     : "r"(a1)
                     : "memory");
    return a0;
#else
    register uint32_t r0 __asm__("r0") = operation;
    register uint32_t r1 __asm__("r1") = argument;

    __asm__ volatile("bkpt 0xab" : "+r"(r0) : "r"(r1) : "memory");
    return r0;
#endif
}

static uint32_t on_file(uint32_t operation, const char *name, uint32_t mode, const uint8_t *bytes, uint32_t size)
{
    uint32_t length = 0;
    uint32_t block[3];
    uint32_t file;
    uint32_t left;

    while (name[length] != 0) {
        length++;
    }
    block[0] = (uint32_t)(uintptr_t)name;
    block[1] = mode;
    block[2] = length;
    file = call(SYS_OPEN, (uint32_t)(uintptr_t)block);
    block[0] = file;
    block[1] = (uint32_t)(uintptr_t)bytes;
    block[2] = size;
    left = call(operation, (uint32_t)(uintptr_t)block);
    block[0] = file;
    call(SYS_CLOSE, (uint32_t)(uintptr_t)block);
    return size - left;
}

uint32_t read_tape(uint8_t *bytes, uint32_t most)
{
    return on_file(SYS_READ, "tape.bin", OPEN_READ, bytes, most);
}

void write_rows(const uint8_t *bytes, uint32_t size)
{
    on_file(SYS_WRITE, "rows.bin", OPEN_WRITE, bytes, size);
}

void *memcpy(void *to, const void *from, size_t size)
{
    uint8_t *out = to;
    const uint8_t *in = from;

    while (size-- > 0) {
        *out++ = *in++;
    }
    return to;
}

void *memmove(void *to, const void *from, size_t size)
{
    uint8_t *out = to;
    const uint8_t *in = from;

    if (out < in) {
        return memcpy(to, from, size);
    }
    while (size-- > 0) {
        out[size] = in[size];
    }
    return to;
}

void *memset(void *to, int byte, size_t size)
{
    uint8_t *out = to;

    while (size-- > 0) {
        *out++ = (uint8_t)byte;
    }
    return to;
}

void reset(void)
{
    main();
    call(SYS_EXIT, EXIT_DONE);
    for (;;) {
    }
}

#if defined(__riscv)
__asm__(".section .start,\"ax\"\nla sp, stack_top\nj reset\n.text");
#else
__asm__(".section .start,\"a\"\n.word stack_top\n.word reset\n.text");
#endif
