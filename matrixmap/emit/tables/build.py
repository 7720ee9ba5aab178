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
)
from matrixmap.emit.tables.document import plan_document, plan_hash, plan_json
from matrixmap.emit.tables.id16 import id16_text
from matrixmap.emit.tables.index import cmake_text, index_header, index_source
from matrixmap.emit.tables.keylist import key_list
from matrixmap.emit.tables.runtime import decoder_of_pads, runtime_files, selftest_files
from matrixmap.emit.tables.selftest import STEPS, steps_source
from matrixmap.model.plan import Plan
from matrixmap.model.words import json_text
from matrixmap.press.every import Every
from matrixmap.press.levels import Levels
from matrixmap.press.rules import Rules
from matrixmap.press.table.format import FLAG_RESUME, FLAG_WHOLE, TABLE_VERSION, Table
from matrixmap.press.table.make import make_table

MADE_BY = f"matrixmap {__version__}"
CONFIG = "mm_config.h"
MANIFEST = "mm_manifest.json"
"""No id of a layout has an underscore, so no file of a layout can have one of our names."""


def build_files(
    plans: Iterable[Plan], self_test: bool = False, beside: Mapping[str, str] | None = None
) -> dict[str, str]:
    """File name -> text of all files of a build, sorted by name. The same plans give the same bytes.

    `beside` are further C files, such as the driver of a board.

    TableError, with the layout's id, if no table can hold a plan; StepsError if a self-test has too many steps.
    """
    listed = sorted(plans, key=lambda plan: plan.id)
    levels = {plan.id: Levels(Every(Rules(plan, make_table(plan)))) for plan in listed}
    documents = {plan.id: plan_document(levels[plan.id]) for plan in listed}
    hashes = {id: plan_hash(document) for id, document in documents.items()}
    out = dict(runtime_files())
    if any(plan.layout.pads for plan in listed):
        out.update(decoder_of_pads())
    out[CONFIG] = _config(listed, [levels[plan.id].every.rules.table for plan in listed])
    for plan in listed:
        machine = plan.layout.machine
        out[machine_header_name(machine)] = machine_header_text(machine, MADE_BY)
        table = levels[plan.id].every.rules.table
        out[f"{plan.id}.h"] = header_text(plan, table, hashes[plan.id], MADE_BY)
        out[f"{plan.id}.c"] = source_text(levels[plan.id], hashes[plan.id], MADE_BY)
        out[f"{plan.id}.json"] = plan_json(documents[plan.id])
        out[f"{plan.id}.md"] = key_list(levels[plan.id], hashes[plan.id], MADE_BY)
    out["mm_layouts.h"] = index_header(listed, MADE_BY)
    out["mm_layouts.c"] = index_source(listed, MADE_BY)
    if self_test:
        out.update(selftest_files())
        out[STEPS] = steps_source(listed, lambda plan: levels[plan.id].every.rules.table, MADE_BY)
    out.update(beside or {})
    out["CMakeLists.txt"] = cmake_text(listed, out, out[CONFIG], MADE_BY)
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
        "MM_WHOLE": int(any(table.flags & FLAG_WHOLE for table in tables)),
        "MM_PADS": int(any(table.controllers for table in tables)),
        "MM_CONTROLLERS": max((len(table.controllers) for table in tables), default=0) or 2,
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


def _manifest(plans: list[Plan], hashes: Mapping[str, str], out: Mapping[str, str]) -> str:
    """What was made from what: SHA-256 of every input and output."""
    document = {
        "made_by": MADE_BY,
        "layouts": {
            plan.id: {
                "title": plan.layout.title,
                "id16": id16_text(plan.id),
                "plan": hashes[plan.id],
                "inputs": dict(plan.layout.inputs),
            }
            for plan in plans
        },
        "files": {name: sha256(text.encode("utf-8")).hexdigest() for name, text in sorted(out.items())},
    }
    return json_text(document) + "\n"
