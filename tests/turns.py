"""A small machine with strokes in turn, and texts typed on it: what the machine reads in the end."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from matrixmap.cli.play.type import presses_for
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Plan
from matrixmap.press.table.make import make_table
from matrixmap.simulate.compiled import EVERY_FEATURE, Compiled, compile_library, load_library
from matrixmap.simulate.engine import Engine, Sizes
from matrixmap.simulate.model import Model
from matrixmap.simulate.scan import Reader
from matrixmap.simulate.texts import Typing, as_text, legends_of, meant_by, play_typing
from matrixmap.simulate.typing.reports import Link
from matrixmap.simulate.typing.typist import usual_style
from matrixmap.source.folder import shipped_folder
from matrixmap.source.kinds.project import Project
from tests import tools
from tests.check.cases import TextFolder

#        N0     N1     N2     N3
#  S0    ebb    flood  a      b
#  S1    c      d      e      space
#  S2    enter  lock   acute  mark
#  S3    one
EBB = """
machine: ebb
title: Ebb 4
source: invented for these tests
matrix:
  select: [S0, S1, S2, S3]
  sense: [N0, N1, N2, N3]
  grid:
    S0: [ebb, flood, a, b]
    S1: [c, d, e, space]
    S2: [enter, lock, acute, mark]
    S3: [one, none, none, none]
modifiers: {ebb: ebb, flood: flood}
types:
  a: {plain: a, ebb: A, flood: none}
  b: {plain: b, ebb: none, key: ß, shout: B}
  c: {plain: c, key: ç}
  d: {plain: d}
  e: {plain: e, ebb: E, key: €}
  space: {plain: ' '}
  enter: {plain: Enter, ebb: none}
  acute: {plain: {dead: '´'}}
  one: {plain: 1, keyword: PRINT, ebb: '!'}
modes:
  key: {by: ebb + flood, until: one-key}
  shout: {by: lock, until: lock}
  keyword: {when: at the beginning of a line}
composes: {'´': aá eé space´ AÁ}
sequences:
  '{': [ebb + b, flood + a]
  '}': [ebb + b, d]
  '[': [ebb + b, ebb + enter, d]
  '?': [mark, one]
scan: {period_us: 20000, samples_down: 2, samples_up: 2, sweep_us: 1000}
"""

BY_PRINT = """
layout: ebb
machine: ebb
host: de-DE
join: symbolic
"""

BY_PLACE = """
layout: ebb
machine: ebb
host: en-US
join: positional
keys: {ShiftLeft: ebb, ControlLeft: flood, KeyA: a, KeyB: b, KeyC: c, KeyD: d, Enter: enter, Quote: acute, Space: space,
  CapsLock: lock, Digit1: one}
"""


def project(machine: str, layout: str) -> Project:
    """The two files, with the shipped ones behind them."""
    files = {("machine", _id(machine)): machine, ("layout", _id(layout)): layout}
    return Project([TextFolder(files=files), shipped_folder()], ())


def _id(text: str) -> str:
    first = next(line for line in text.splitlines() if line.startswith(("machine: ", "layout: ")))
    return first.split(": ")[1]


def turn_plan(machine: str = EBB, layout: str = BY_PRINT) -> Plan:
    """The plan of a layout on a machine, which must read without a finding."""
    loaded = project(machine, layout).layout(_id(layout))
    assert loaded is not None
    assert loaded.value is not None, [finding.text for finding in loaded.findings]
    return compile_plan(loaded.value)


def engine_of(name: str, plan: Plan, folder: Path) -> Engine:
    """The model, or the compiled runtime with sequences."""
    if name == "model":
        return Model([plan])
    library = load_library(compile_library(folder, Sizes(), tools.tool("cc"), features=EVERY_FEATURE))
    return Compiled(library, plan.layout.machine, [make_table(plan).to_bytes()])


def typed_and_read(plan: Plan, text: str, engine: str) -> tuple[str, str]:
    """A text as it is meant, and as the machine that scans reads it."""
    presses = presses_for(plan, text)
    typing = Typing(plan=plan, presses=presses, style=usual_style(4), link=Link.SAMPLED, interval_us=7500)
    with TemporaryDirectory() as folder:
        player = play_typing(engine_of(engine, plan, Path(folder)), typing)
    reads = Reader(plan.layout.machine, plan.contacts).read(player.moments)
    return as_text(meant_by(plan, presses)), as_text(legends_of(reads))
