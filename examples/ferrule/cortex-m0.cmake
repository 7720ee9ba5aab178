# SPDX-License-Identifier: MIT
# SPDX-FileCopyrightText: 2026 The matrixmap contributors
# cmake -DCMAKE_TOOLCHAIN_FILE=cortex-m0.cmake
set(CMAKE_SYSTEM_NAME Generic)
set(CMAKE_SYSTEM_PROCESSOR cortex-m0)
set(CMAKE_TRY_COMPILE_TARGET_TYPE STATIC_LIBRARY)
set(CMAKE_C_COMPILER arm-none-eabi-gcc)
set(CMAKE_C_FLAGS_INIT "-mcpu=cortex-m0 -mthumb")
