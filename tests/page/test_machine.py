"""The parts of the page that are no C hold to the reference model; the C in it is that of the runtime."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from matrixmap.circuit.reading import ClosedCrosspoint, Conduction, read_matrix
from matrixmap.model.layout import Contacts
from matrixmap.model.machine import Contact, Debounce, Machine, MoreKeys, SelectIndex, SenseIndex
from matrixmap.simulate.scan import Moment, Reader
from tests import make_wasm, tools
from tests.browser import Browser, Page
from tests.simulate.machines import make_machine, make_scan

WEB = Path(make_wasm.WEB)


@pytest.fixture
def scripts(browser: Browser) -> Iterator[Page]:
    """A tab with the page's circuit and scan at hand, and nothing else."""
    with browser.page() as page:
        page.evaluate((WEB / "circuit.js").read_text(encoding="utf-8") + ";globalThis.Scanner = Scanner; 0")
        yield page


def test_matrix_is_read_as_in_the_reference(scripts: Page) -> None:
    """For random closed crosspoints, switches and diodes, each select line reads what the reference reads."""
    random_ = random.Random(7)
    cases, expected = [], []
    for _ in range(600):
        selects, senses = random_.randint(1, 16), random_.randint(1, 16)
        both = random_.random() < 0.7
        masks = [sum(1 << sense for sense in range(senses) if random_.random() < 0.12) for _ in range(selects)]
        points = [
            ClosedCrosspoint(SelectIndex(select), SenseIndex(sense), Conduction.BOTH if both else Conduction.FORWARD)
            for select, mask in enumerate(masks)
            for sense in range(senses)
            if mask >> sense & 1
        ]
        cases.append([masks, both])
        expected.append(list(read_matrix(points, selects)))
    given = scripts.evaluate(f"{json.dumps(cases)}.map(([masks, both]) => readMatrix(masks, both))")
    assert given == expected
    assert any(want != case[0] for want, case in zip(expected, cases, strict=True))


def timelines(machine: Machine, seed: int) -> list[Moment]:
    """Contacts that come and go at random, in steps of 100 microseconds."""
    random_ = random.Random(seed)
    moments, time, closed = [], 0, set[Contact]()
    for _ in range(60):
        time += random_.choice((3_000, 11_100, 25_000, 41_500, 90_000))
        closed ^= {Contact(random_.randrange(machine.crosspoints + len(machine.direct)))}
        moments.append(Moment(time, frozenset(closed)))
    return [*moments, Moment(time + 200_000, frozenset())]


SCANS = (
    {},
    {"rollover": 2},
    {"rollover": 1},
    {"samples_down": 1, "samples_up": 1},
    {"samples_down": 3, "samples_up": 2, "period_us": 10_000, "sweep_us": 3_000},
    {"debounce": Debounce.WHOLE},
    {"debounce": Debounce.WHOLE, "sweep_us": None},
    {"debounce": Debounce.WHOLE, "rollover": 1, "samples_up": 3},
)


MORE_KEYS: tuple[dict[str, object], ...] = (
    {"rollover": 2, "samples_up": 3},
    {"rollover": 2, "more_keys": (MoreKeys.FIRST,)},
    {"rollover": 2, "more_keys": (MoreKeys.FIRST, MoreKeys.KEPT), "samples_up": 3},
    {"rollover": 1, "more_keys": (MoreKeys.KEPT,)},
    {"rollover": 1, "more_keys": (MoreKeys.RELEASED,)},
    {"rollover": 2, "more_keys": (MoreKeys.RELEASED,), "debounce": Debounce.WHOLE},
)
"""Machines that do otherwise with more keys than their rollover, or wait for room: these read fewer presses."""


@pytest.mark.parametrize(
    ("changed", "least"), [*((each, 40) for each in SCANS), *((each, 20) for each in MORE_KEYS)], ids=str
)
@pytest.mark.parametrize("how", [Contacts.SWITCH, Contacts.SWITCH_WITH_DIODE])
def test_scan_is_that_of_the_reference(scripts: Page, changed: dict[str, object], least: int, how: Contacts) -> None:
    """For contacts that come and go at random, the page's machine reads the presses that the reference reads."""
    machine = make_machine(make_scan(**changed))
    reader = Reader(machine, how)
    read = 0
    for seed in range(6):
        moments = timelines(machine, seed)
        expected = [(press.key, press.types.text if press.types else None) for press in reader.read(moments)]
        assert play(scripts, machine, how, moments) == [list(press) for press in expected]
        read += len(expected)
    assert read > least


def play(page: Page, machine: Machine, how: Contacts, moments: list[Moment]) -> object:
    """The presses that the page's machine reads."""
    from matrixmap.emit.page.document import page_machine

    steps = []
    for moment in moments:
        masks = [0] * len(machine.select)
        direct = 0
        for contact in moment.contacts:
            lines = machine.lines(contact)
            if lines:
                masks[lines[0]] |= 1 << lines[1]
            else:
                direct |= 1 << (contact - machine.crosspoints)
        steps.append([moment.time_us, masks, direct])
    program = f"""(() => {{
      const machine = {json.dumps(page_machine(machine))}, steps = {json.dumps(steps)}, found = [];
      const keys = machine.keys.map(([name, contact, types, selectors]) => ({{ name, contact, types, selectors: new Set(selectors) }}));
      machine.contact = new Map(keys.map((key) => [key.name, key.contact]));
      machine.byContact = new Map(keys.map((key) => [key.contact, key]));
      const scanner = new Scanner(machine, {json.dumps(how is Contacts.SWITCH)}, (press) => found.push([press.key.name, press.types]));
      let masks = machine.select.map(() => 0), direct = 0, at = 0;
      const end = steps[steps.length - 1][0] + 500000;
      while (scanner.due < end) {{
        while (at < steps.length && steps[at][0] <= scanner.due) [, masks, direct] = steps[at++];
        scanner.readLine(masks, direct);
      }}
      return found;
    }})()"""
    return page.evaluate(program)


def test_module_is_made_from_the_runtime_as_it_stands() -> None:
    """The shipped WebAssembly module carries the hash of the sources; after a change run python -m tests.make_wasm."""
    assert make_wasm.carried_hash(make_wasm.TARGET.read_bytes()) == make_wasm.source_hash()


def test_module_can_be_made_again() -> None:
    """The compiler makes a module with the same exports and size class; the very same bytes if it is the same compiler."""
    for name in ("clang", "wasm-ld"):
        tools.tool(name)
    made = make_wasm.compile_module()
    shipped = make_wasm.TARGET.read_bytes()
    assert made.startswith(b"\0asm\1\0\0\0")
    assert all(name.encode() in made and name.encode() in shipped for name in make_wasm.EXPORTS)
    assert abs(len(made) - len(shipped)) < len(shipped) / 4
    if clang_version() == "14":
        assert made == shipped


def clang_version() -> str:
    """The major version of the compiler."""
    text = tools.run("clang", "-dumpversion").stdout
    return text.partition(".")[0]


def test_stale_module_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """A change of one byte in a source makes the module stale."""
    before = make_wasm.source_hash()
    monkeypatch.setattr(make_wasm, "EXPORTS", (*make_wasm.EXPORTS, "mm_boot_report"))
    assert make_wasm.source_hash() != before
