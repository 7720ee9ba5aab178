"""Everything that a build writes, as names and texts: tables, key lists, runtime, index."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from hashlib import sha256

from matrixmap import __version__
from matrixmap.emit.tables.c import (
    header_text,
    machine_header_name,
    machine_header_text,
    source_text,
    table_symbol,
)
from matrixmap.emit.tables.document import plan_document, plan_hash, plan_json
from matrixmap.emit.tables.keylist import key_list
from matrixmap.emit.tables.licence import licence_lines
from matrixmap.emit.tables.names import string, title_comment
from matrixmap.emit.tables.runtime import runtime_files
from matrixmap.model.plan import Plan
from matrixmap.model.words import json_text
from matrixmap.press.every import Every
from matrixmap.press.levels import Levels
from matrixmap.press.rules import Rules
from matrixmap.press.table.format import FLAG_RESUME, TABLE_VERSION, Table
from matrixmap.press.table.make import make_table

MADE_BY = f"matrixmap {__version__}"
CONFIG = "mm_config.h"
MANIFEST = "mm_manifest.json"
"""No id of a layout has an underscore, so no file of a layout has the name of one of ours."""


def build_files(plans: Iterable[Plan]) -> dict[str, str]:
    """File name -> text of all files of a build, sorted by name. The same plans give the same bytes.

    TableError, with the layout's id, where a plan is more than a table can hold.
    """
    listed = sorted(plans, key=lambda plan: plan.id)
    levels = {plan.id: Levels(Every(Rules(plan, make_table(plan)))) for plan in listed}
    documents = {plan.id: plan_document(levels[plan.id]) for plan in listed}
    hashes = {id: plan_hash(document) for id, document in documents.items()}
    out = dict(runtime_files())
    out[CONFIG] = _config(listed, [levels[plan.id].every.rules.table for plan in listed])
    for plan in listed:
        machine = plan.layout.machine
        out[machine_header_name(machine)] = machine_header_text(machine, MADE_BY)
        table = levels[plan.id].every.rules.table
        out[f"{plan.id}.h"] = header_text(plan, table, hashes[plan.id], MADE_BY)
        out[f"{plan.id}.c"] = source_text(levels[plan.id], hashes[plan.id], MADE_BY)
        out[f"{plan.id}.json"] = plan_json(documents[plan.id])
        out[f"{plan.id}.md"] = key_list(levels[plan.id], hashes[plan.id], MADE_BY)
    out["mm_layouts.h"] = _index_header(listed)
    out["mm_layouts.c"] = _index_source(listed)
    out["CMakeLists.txt"] = _cmake(out)
    out[MANIFEST] = _manifest(listed, hashes, out)
    return dict(sorted(out.items()))


def _config(plans: list[Plan], tables: list[Table]) -> str:
    machines = [plan.layout.machine for plan in plans]
    select = max((len(machine.select) for machine in machines), default=1)
    sense = max((len(machine.sense) for machine in machines), default=1)
    text = dict(runtime_files())[CONFIG]
    sizes = {
        "MM_SELECT_MAX": select,
        "MM_SENSE_MAX": sense,
        "MM_SEQUENCES": int(any(table.sequences for table in tables)),
        "MM_RESUME": int(any(table.flags & FLAG_RESUME for table in tables)),
        "MM_TABLE_VERSION_WANTED": TABLE_VERSION,
    }
    lines = []
    for line in text.splitlines():
        words = line.split()
        if words[:1] == ["#define"] and len(words) > 2 and words[1] in sizes:
            lines.append(line.replace(f"{words[1]} {words[2]}", f"{words[1]} {sizes[words[1]]}"))
        else:
            lines.append(line)
    return "\n".join([*lines, ""])


def _index_header(plans: list[Plan]) -> str:
    return "\n".join(
        [
            *licence_lines(),
            f"/* The layouts built together, by id. Made by {MADE_BY}. */",
            "#ifndef MM_LAYOUTS_H",
            "#define MM_LAYOUTS_H",
            "",
            '#include "mm_index.h"',
            *(f'#include "{plan.id}.h"' for plan in plans),
            "",
            f"#define MM_LAYOUTS {len(plans)}u",
            "",
            "#ifdef __cplusplus",
            'extern "C" {',
            "#endif",
            "",
            "extern const mm_layout mm_layouts[MM_LAYOUTS];",
            "",
            "#ifdef __cplusplus",
            "}",
            "#endif",
            "",
            "#endif",
            "",
        ]
    )


def _index_source(plans: list[Plan]) -> str:
    lines = [
        *licence_lines(),
        f"/* The layouts built together, by id. Made by {MADE_BY}. */",
        '#include "mm_layouts.h"',
        "",
    ]
    for plan in plans:
        symbol = table_symbol(plan.id)
        lines.append(f"static const char id_of_{symbol}[] MM_TABLE = {string(plan.id)};")
        lines.append(f"static const char title_of_{symbol}[] MM_TABLE = {string(plan.layout.title)};")
    lines += ["", "const mm_layout mm_layouts[MM_LAYOUTS] MM_TABLE = {"]
    for plan in plans:
        symbol = table_symbol(plan.id)
        lines.append(
            f"    {{id_of_{symbol}, title_of_{symbol}, {symbol}, {symbol.upper()}_SIZE}}, /* {title_comment(plan.layout.title)} */"
        )
    return "\n".join([*lines, "};", ""])


def _cmake(out: Mapping[str, str]) -> str:
    sources = sorted(name for name in out if name.endswith(".c"))
    return "\n".join(
        [
            *licence_lines("# ", ""),
            f"# The tables and the runtime as one library. Made by {MADE_BY}.",
            "# Use it with: add_subdirectory(generated), then target_link_libraries(firmware matrixmap_tables).",
            "cmake_minimum_required(VERSION 3.13)",
            "project(matrixmap_tables C)",
            "add_library(matrixmap_tables STATIC",
            *(f"    {name}" for name in sources),
            ")",
            "target_include_directories(matrixmap_tables PUBLIC ${CMAKE_CURRENT_SOURCE_DIR})",
            "set_target_properties(matrixmap_tables PROPERTIES C_STANDARD 99 C_STANDARD_REQUIRED ON C_EXTENSIONS OFF)",
            "",
        ]
    )


def _manifest(plans: list[Plan], hashes: Mapping[str, str], out: Mapping[str, str]) -> str:
    """What was made from what: SHA-256 of every input and output."""
    document = {
        "made_by": MADE_BY,
        "layouts": {
            plan.id: {"title": plan.layout.title, "plan": hashes[plan.id], "inputs": dict(plan.layout.inputs)}
            for plan in plans
        },
        "files": {name: sha256(text.encode("utf-8")).hexdigest() for name, text in sorted(out.items())},
    }
    return json_text(document) + "\n"
