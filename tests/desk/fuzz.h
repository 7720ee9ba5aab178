/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/*
 * What fuzzers of decoders share: promises, the parts of a case, and with MM_FUZZ_MAIN a program that runs a file of
 * {length of 4 bytes, case}; without it libFuzzer has one.
 */
#ifndef FUZZ_H
#define FUZZ_H

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

/* A promise that is broken ends the program, which the sanitizers and the fuzzer tell. */
static void promise(int kept)
{
    if (!kept) {
        abort();
    }
}

/* The next part of a case, in memory of its own size, so that a read beyond it is seen. */
static uint8_t *part(const uint8_t **data, size_t *size, uint16_t *length)
{
    uint8_t *copy;
    uint16_t wanted;
    if (*size < 2u) {
        return NULL;
    }
    wanted = (uint16_t)((*data)[0] | (uint16_t)((*data)[1] << 8));
    *data += 2;
    *size -= 2u;
    *length = wanted < *size ? wanted : (uint16_t)*size;
    copy = malloc(*length > 0u ? *length : 1u);
    promise(copy != NULL);
    memcpy(copy, *data, *length);
    *data += *length;
    *size -= *length;
    return copy;
}

#ifdef MM_FUZZ_MAIN
int main(int count, char **arguments)
{
    unsigned long cases = 0u;
    uint8_t head[4];
    FILE *file = count == 2 ? fopen(arguments[1], "rb") : NULL;
    promise(file != NULL);
    while (fread(head, 1, 4, file) == 4u) {
        size_t size = head[0] | (size_t)head[1] << 8 | (size_t)head[2] << 16 | (size_t)head[3] << 24;
        uint8_t *data = malloc(size > 0u ? size : 1u);
        promise(data != NULL && fread(data, 1, size, file) == size);
        (void)LLVMFuzzerTestOneInput(data, size);
        free(data);
        cases++;
    }
    (void)fclose(file);
    printf("%lu cases\n", cases);
    return 0;
}
#endif

#endif
