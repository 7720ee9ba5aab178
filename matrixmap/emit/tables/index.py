"""What connects the layouts of a build: the index in C, and the library for CMake."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from matrixmap.emit.tables.c import table_symbol
from matrixmap.emit.tables.licence import licence_lines
from matrixmap.emit.tables.names import comment, identifier, string, title_comment
from matrixmap.emit.tables.pads import pad_map_symbol
from matrixmap.model.plan import Plan

A_LINE = 16
"""The most layouts that one line of C counts, far below the 4095 characters of every compiler (C99, 5.2.4.1)."""


def built_macro(layout_id: str) -> str:
    """The macro that is 1 if firmware includes a layout, and 0 if not."""
    return f"{table_symbol(layout_id).upper()}_BUILT"


def command_macro(name: str) -> str:
    """The macro that a command's name becomes."""
    return identifier(name.upper(), "MM_COMMAND_")


def index_header(plans: Sequence[Plan], made_by: str) -> str:
    """`mm_layouts.h`: all headers, the number of layouts, and the index."""
    return "\n".join(
        [
            *licence_lines(),
            f"/* The layouts of this build, in the order of their ids. Made by {made_by}. */",
            "#ifndef MM_LAYOUTS_H",
            "#define MM_LAYOUTS_H",
            "",
            '#include "mm_index.h"',
            "",
            "/*",
            " * To include only some of the layouts: define MM_LAYOUTS_CHOSEN, and the macro below of each one that you want as 1,",
            " * for all files alike. CMakeLists.txt does this for the list MATRIXMAP_LAYOUTS.",
            " */",
            "#ifdef MM_LAYOUTS_CHOSEN",
            "#define MM_OTHERS_BUILT 0",
            "#else",
            "#define MM_OTHERS_BUILT 1",
            "#endif",
            *_built_lines(plans),
            "",
            "#ifdef MM_LAYOUTS_CHOSEN",
            *_count_lines(plans),
            "#else",
            f"#define MM_LAYOUTS {len(plans)}u",
            "#endif",
            "",
            *_command_lines(plans),
            "#ifdef __cplusplus",
            'extern "C" {',
            "#endif",
            "",
            "extern const mm_layout mm_layouts[MM_LAYOUTS];",
            *_pad_maps_declared(plans),
            "",
            "#ifdef __cplusplus",
            "}",
            "#endif",
            "",
            "#endif",
            "",
        ]
    )


def _has_pads(plans: Iterable[Plan]) -> bool:
    return any(plan.layout.pads is not None for plan in plans)


def _pad_maps_declared(plans: Iterable[Plan]) -> list[str]:
    """The declaration of the maps of pads by the numbers of the layouts; nothing if no layout has one."""
    if not _has_pads(plans):
        return []
    told = "/* What pads do in each layout, for mm_get_pad_map. Null: the layout does not use pads. */"
    return ["", told, "extern const mm_pad_choice mm_pad_maps[MM_LAYOUTS];"]


def _pad_maps(plans: Sequence[Plan]) -> list[str]:
    """The maps of pads by the numbers of the layouts."""
    if not _has_pads(plans):
        return []
    lines = ["", "const mm_pad_choice mm_pad_maps[MM_LAYOUTS] MM_TABLE = {"]
    for plan in plans:
        symbol = pad_map_symbol(plan)
        row = f"{symbol}, {symbol.upper()}_SIZE" if plan.layout.pads is not None else "0, 0u"
        lines += [f"#if {built_macro(plan.id)}", f"    {{{row}}}, /* {comment(plan.id)} */", "#endif"]
    return [*lines, "};"]


def _built_lines(plans: Iterable[Plan]) -> list[str]:
    lines = []
    for plan in plans:
        macro = built_macro(plan.id)
        lines += ["", f"#ifndef {macro}", f"#define {macro} MM_OTHERS_BUILT", "#endif"]
        lines += [f"#if {macro}", f'#include "{plan.id}.h"', "#endif"]
    return lines


def _count_lines(plans: Sequence[Plan]) -> list[str]:
    """The number of included layouts, as sums of a few each."""
    macros = [built_macro(plan.id) for plan in plans]
    lines, sums = [], []
    for first in range(0, len(macros), A_LINE):
        sums.append(f"MM_LAYOUTS_FROM_{first}_")
        lines.append(f"#define {sums[-1]} ({' + '.join(macros[first : first + A_LINE])})")
    return [*lines, f"#define MM_LAYOUTS ({' + '.join(['0u', *sums])})"]


def _command_lines(plans: Iterable[Plan]) -> list[str]:
    """The commands with a name; layouts that are built together agree about them."""
    names = sorted({(line.number, line.name) for plan in plans for line in plan.layout.command_names})
    if not names:
        return []
    told = "/* Commands of these layouts, as mm_take_command returns them. */"
    return [told, *(f"#define {command_macro(name)} {number}u" for number, name in names), ""]


def index_source(plans: Sequence[Plan], made_by: str) -> str:
    """`mm_layouts.c`: ids, titles and the index, and the maps of pads if layouts have them."""
    lines = [
        *licence_lines(),
        f"/* The layouts of this build, in the order of their ids. Made by {made_by}. */",
        '#include "mm_layouts.h"',
        "",
    ]
    entries = []
    for plan in plans:
        symbol, macro = table_symbol(plan.id), built_macro(plan.id)
        lines.append(f"#if {macro}")
        lines.append(f"static const char id_of_{symbol}[] MM_TABLE = {string(plan.id)};")
        lines.append(f"static const char title_of_{symbol}[] MM_TABLE = {string(plan.layout.title)};")
        lines.append("#endif")
        words = f"id_of_{symbol}, title_of_{symbol}, {symbol}, {symbol.upper()}_SIZE, {symbol.upper()}_ID16"
        entries += [f"#if {macro}", f"    {{{words}}}, /* {title_comment(plan.layout.title)} */", "#endif"]
    index = ["", "const mm_layout mm_layouts[MM_LAYOUTS] MM_TABLE = {", *entries, "};"]
    return "\n".join([*lines, *index, *_pad_maps(plans), ""])


def cmake_text(plans: Iterable[Plan], names: Iterable[str], config: str, made_by: str) -> str:
    """`CMakeLists.txt`: the named files as a library. `config` is the text of `mm_config.h`, which has the sizes."""
    listed = list(plans)
    own = {f"{plan.id}.c" for plan in listed}
    sources = sorted(name for name in names if name.endswith(".c") and name not in own)
    return "\n".join(
        [
            *licence_lines("# ", ""),
            f"# The tables and the runtime as one library. Made by {made_by}.",
            "# Use it with: add_subdirectory(generated), then target_link_libraries(firmware matrixmap_tables).",
            "# To choose layouts or sizes of mm_config.h, set them before that, or with -D on the command line.",
            *CMAKE_LAYOUTS,
            *(f"mm_layout({plan.id} {built_macro(plan.id)})" for plan in listed),
            *CMAKE_LIBRARY,
            *(f"    {name}" for name in sources),
            *CMAKE_SIZES,
            *(f'mm_size({name} "{meaning}")' for name, meaning in sizes_of(config).items()),
            "",
        ]
    )


CMAKE_LAYOUTS = """\
cmake_minimum_required(VERSION 3.13)
project(matrixmap_tables C)

if(NOT DEFINED MATRIXMAP_LAYOUTS)
    set(MATRIXMAP_LAYOUTS "" CACHE STRING "ids of the layouts that the firmware takes; empty: all")
endif()
set(mm_every)
set(mm_tables)
set(mm_built)
macro(mm_layout id built)
    list(APPEND mm_every ${id})
    if("${MATRIXMAP_LAYOUTS}" STREQUAL "" OR "${id}" IN_LIST MATRIXMAP_LAYOUTS)
        list(APPEND mm_tables ${id}.c)
        list(APPEND mm_built ${built}=1)
    endif()
endmacro()""".splitlines()

CMAKE_LIBRARY = """\
foreach(id IN LISTS MATRIXMAP_LAYOUTS)
    if(NOT "${id}" IN_LIST mm_every)
        string(REPLACE ";" ", " mm_every "${mm_every}")
        message(FATAL_ERROR "MATRIXMAP_LAYOUTS names ${id}, which was not built here; there are ${mm_every}")
    endif()
endforeach()

add_library(matrixmap_tables STATIC
    ${mm_tables}""".splitlines()

CMAKE_SIZES = """\
)
target_include_directories(matrixmap_tables PUBLIC ${CMAKE_CURRENT_SOURCE_DIR})
set_target_properties(matrixmap_tables PROPERTIES C_STANDARD 99 C_STANDARD_REQUIRED ON C_EXTENSIONS OFF)
if(NOT "${MATRIXMAP_LAYOUTS}" STREQUAL "")
    target_compile_definitions(matrixmap_tables PUBLIC MM_LAYOUTS_CHOSEN ${mm_built})
endif()

# Library and firmware are compiled with the same sizes.
macro(mm_size name meaning)
    if(NOT DEFINED ${name})
        set(${name} "" CACHE STRING "${meaning}; empty: as in mm_config.h")
    endif()
    if(NOT "${${name}}" STREQUAL "")
        if(NOT "${${name}}" MATCHES "^(0|[1-9][0-9]*)$")
            message(FATAL_ERROR "${name} is '${${name}}', which is no plain number (${meaning})")
        endif()
        target_compile_definitions(matrixmap_tables PUBLIC ${name}=${${name}})
    endif()
endmacro()""".splitlines()


def sizes_of(config: str) -> Mapping[str, str]:
    """Each size that a firmware author may choose, with its meaning from `mm_config.h`."""
    found = re.findall(r"^#define (MM_\w+) \d+ /\* (.*) \*/$", config, re.MULTILINE)
    return {name: meaning for name, meaning in found if name != "MM_TABLE_VERSION_WANTED"}
