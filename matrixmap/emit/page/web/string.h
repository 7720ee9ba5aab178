/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
/* What the runtime needs of the C library, for a target that has none. */
#ifndef MM_PAGE_STRING_H
#define MM_PAGE_STRING_H

#include <stddef.h>

void *memcpy(void *to, const void *from, size_t count);
void *memmove(void *to, const void *from, size_t count);
void *memset(void *to, int value, size_t count);

#endif
