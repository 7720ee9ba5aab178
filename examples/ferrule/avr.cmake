# SPDX-License-Identifier: MIT
# SPDX-FileCopyrightText: 2026 The matrixmap contributors
# cmake -DCMAKE_TOOLCHAIN_FILE=avr.cmake
set(CMAKE_SYSTEM_NAME Generic)
set(CMAKE_SYSTEM_PROCESSOR avr)
set(CMAKE_TRY_COMPILE_TARGET_TYPE STATIC_LIBRARY)
set(CMAKE_C_COMPILER avr-gcc)
set(CMAKE_C_FLAGS_INIT "-mmcu=atmega328p")
