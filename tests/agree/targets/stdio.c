/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* Tape from standard input, rows to standard output. */
#include <stdio.h>

#include "platform.h"

uint32_t read_tape(uint8_t *bytes, uint32_t most)
{
    return (uint32_t)fread(bytes, 1, most, stdin);
}

void write_rows(const uint8_t *bytes, uint32_t size)
{
    fwrite(bytes, 1, size, stdout);
    fflush(stdout);
}
