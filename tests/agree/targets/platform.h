/* SPDX-License-Identifier: MIT */
/* SPDX-FileCopyrightText: 2026 The matrixmap contributors */
#ifndef PLATFORM_H
#define PLATFORM_H

#include <stdint.h>

uint32_t read_tape(uint8_t *bytes, uint32_t most); /* how many bytes there are */
void write_rows(const uint8_t *bytes, uint32_t size);

#endif
