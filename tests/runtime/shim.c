/* SPDX-License-Identifier: MIT */
/* What ctypes cannot see by itself. */
#include "mm_runtime.h"

uint16_t mm_test_state_size(void);

uint16_t mm_test_state_size(void)
{
    return (uint16_t)sizeof(mm_state);
}
