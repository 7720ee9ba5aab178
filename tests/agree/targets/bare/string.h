/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* For a compiler without a C library; semihosting.c has the functions. */
#ifndef STRING_H
#define STRING_H

#include <stddef.h>

void *memcpy(void *to, const void *from, size_t size);
void *memmove(void *to, const void *from, size_t size);
void *memset(void *to, int byte, size_t size);

#endif
