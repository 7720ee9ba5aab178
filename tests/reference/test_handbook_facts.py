"""What handbooks say beside the matrix: repeat times, which shift the host's Shift feeds, an optional pad.

Sources: spectrum-matrix.yaml and msx-matrix.yaml beside this file, each with document, edition and section.
"""

from __future__ import annotations

from pathlib import Path

from matrixmap.emit.pictures.sheet import sheet_html
from matrixmap.hid.usages import SHIFT_LEFT, SHIFT_RIGHT, by_code
from matrixmap.join.plan import compile_plan
from matrixmap.model.plan import Feed, Plan, Stroke, Trigger
from matrixmap.model.words import stroke_name
from matrixmap.press.how_to_type import ways_to_type
from tests.project import HANDBOOK, open_folders, read_layout
from tests.reference.printed import tree
from tests.written import found_by, machine_of
from tests.written import plan_of as written_plan

HERE = Path(__file__).parent


def plan_of(id: str) -> Plan:
    """The plan of a fixture."""
    return compile_plan(read_layout(open_folders(HANDBOOK), id))


def test_the_spectrum_repeats_as_its_system_variables_say() -> None:
    """REPDEL 35 and REPPER 5 in fiftieths of a second (+3 manual, system variables 23561 and 23562), told in the sheet."""
    plan = plan_of("zx-spectrum-en-US-symbolic")
    facts = tree(HERE / "spectrum-matrix.yaml")["repeat_50ths_of_a_second"]
    delay, every = (int(facts[name]) * 20 for name in ("delay_REPDEL", "period_REPPER"))
    assert (plan.layout.machine.scan.repeat_delay_ms, plan.layout.machine.scan.repeat_every_ms) == (delay, every)
    assert f"A key that stays down repeats after {delay} ms, then every {every} ms." in sheet_html(plan, "A4")


def test_the_hosts_shift_feeds_caps_shift_without_a_line() -> None:
    """CAPS SHIFT (half-row 0, D0) is not named shift, and what it makes of letters is not in the sources: the file says it."""
    plan = plan_of("zx-spectrum-en-US-symbolic")
    row = tree(HERE / "spectrum-matrix.yaml")["half_rows"][0]
    contact = row["keys"].index("CAPS SHIFT")
    for usage in (SHIFT_LEFT, SHIFT_RIGHT):
        action = plan.by_trigger[Trigger(usage=usage, level=1)]
        assert action == Feed(modifier="caps-shift", contact=contact)


def fixture(name: str, *edits: tuple[str, str]) -> str:
    """The text of a handbook machine under the name bench, with a few facts more."""
    text = (HANDBOOK / "shared" / "machines" / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in ((f"machine: {name}\n", "machine: bench\n"), *edits):
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def test_a_spectrum_with_keys_of_two_contacts() -> None:
    """Later cases have a key that closes CAPS SHIFT and 0 at once, which deletes: from memory; the contacts are the handbook's."""
    rows = {row["low_line"]: row["keys"] for row in tree(HERE / "spectrum-matrix.yaml")["half_rows"]}
    text = fixture(
        "zx-spectrum",
        ("modifiers:", "parallel: {delete: [caps-shift, d0]}\nmodifiers:"),
        ("d0: {plain: 0}", "d0: {plain: 0, caps-shift: Backspace}"),
    )
    layout = "layout: bench\nmachine: bench\nhost: en-US\njoin: symbolic\nkeys: {F1: delete}\n"
    plan = written_plan(layout=layout, machine=text)
    machine = plan.layout.machine
    named = plan.by_trigger[Trigger(usage=by_code("F1")[0], level=1)]
    found = plan.by_trigger[Trigger(usage=by_code("Backspace")[0], level=1)]
    assert (rows["A8"][0], rows["A12"][0]) == ("CAPS SHIFT", "0")
    for action in (named, found):
        assert isinstance(action, Stroke)
        contacts = (*action.holds, *action.contacts)
        assert [machine.contact_name(contact) for contact in contacts] == ["A8/D0", "A12/D0"]
    assert len(ways_to_type(plan)["Backspace"]) > 1


def test_an_msx_with_two_shift_keys() -> None:
    """Both SHIFT keys of the keyboard are on the one crosspoint of figure 36 (two caps: from memory): row 6, bit 0."""
    row = tree(HERE / "msx-matrix.yaml")["rb_figure_36_uk"]["6"]
    machine = machine_of(fixture("msx-uk", ("Y6: [shift, ctrl", "Y6: [[shift, shift-right], ctrl")))
    assert row[-1] == "SHIFT"
    assert machine.contact_name(machine.key("shift").contact) == "Y6/X0"
    assert machine.parallel == {"shift-right": ("shift",)}
    assert len(machine.keys) == sum(
        len(list(filter(None, labels))) for labels in tree(HERE / "msx-matrix.yaml")["rb_figure_36_uk"].values()
    )


def test_the_optional_keypad_of_an_msx_takes_nothing_away() -> None:
    """Rows 9 and 10 are the optional numeric keypad; its keys 9/0 to 9/2, which figure 36 leaves empty, are *, + and / (from memory).

    With the option named, what the main keys type stays on these; without it the keypad takes * and + to itself.
    """
    labels = tree(HERE / "msx-matrix.yaml")["rb_figure_36_uk"]
    assert labels["9"][-3:] == ["", "", ""]
    edits = (
        ("Y9: [none, none, none,", "Y9: [keypad-star, keypad-plus, keypad-slash,"),
        (
            "  keypad-0: {plain: 0}\n",
            "  keypad-0: {plain: 0}\n  keypad-star: {plain: '*'}\n  keypad-plus: {plain: +}\n  keypad-slash: {plain: /}\n",
        ),
    )
    keys = [key.name for key in machine_of(fixture("msx-uk", *edits)).keys if key.name.startswith("keypad-")]
    assert len(keys) == 16
    named = f"options: {{pad: [{', '.join(keys)}]}}\nsources: {{keypad-star: from memory, keypad-plus: from memory}}\n\ntypes:"
    layout = "layout: bench\nmachine: bench\nhost: en-US\njoin: symbolic\n"
    bare = written_plan(layout=layout, machine=fixture("msx-uk", *edits))
    plan = written_plan(layout=layout, machine=fixture("msx-uk", *edits, ("types:", named)))
    star, plus = Trigger(usage=by_code("Digit8")[0], level=2), Trigger(usage=by_code("Equal")[0], level=2)

    def keys_of(some: Plan) -> list[str]:
        actions = [some.by_trigger[trigger] for trigger in (star, plus)]
        return [stroke_name(some.layout.machine, action) for action in actions if isinstance(action, Stroke)]

    assert keys_of(bare) == ["keypad-star", "keypad-plus"]
    assert keys_of(plan) == ["shift + d8", "shift + equal"]
    assert not found_by("needs-option", plan)
    assert plan.layout.machine.sources["keypad-star"] == "from memory"


def test_both_shifts_of_the_spectrum_alone() -> None:
    """KEY-SCAN (028E) accepts both shifts with no other key; that this chooses another mode is from memory."""
    assert "both shifts" in tree(HERE / "spectrum-matrix.yaml")["rom_key_scan_accepts"]
    text = fixture("zx-spectrum", ("types:\n", "types:\n  symbol-shift: {caps-shift: Mode}\n"))
    layout = "layout: bench\nmachine: bench\nhost: en-US\njoin: symbolic\nkeys: {F1: caps-shift + symbol-shift}\n"
    plan = written_plan(layout=layout, machine=text)
    machine = plan.layout.machine
    action = plan.by_trigger[Trigger(usage=by_code("F1")[0], level=1)]
    assert isinstance(action, Stroke)
    assert (action.contacts, str(action.types)) == ((), "Mode")
    assert [machine.contact_name(contact) for contact in action.holds] == ["A8/D0", "A15/D1"]
    assert "Mode" in ways_to_type(plan)


def test_one_line_for_the_graph_column_of_an_msx() -> None:
    """`Alt+*: graph + *` types every code of the column GRAPH (key code table at 0DA5H, rows 0 to 5) that has a US key.

    Legends are the codes as the table prints them, for the characters of the set are not in the source.
    """
    facts = tree(HERE / "msx-matrix.yaml")
    text = fixture("msx-uk")
    names = {(row, bit): key for row, bit, key in grid_of("msx-uk") if row < 6}
    for (row, bit), key in names.items():
        code = f"Code{facts['rb_graph_codes'][str(row)][7 - bit]}"
        assert text.count(f"  {key}: {{plain:") == 1
        text = text.replace(f"  {key}: {{plain:", f"  {key}: {{graph: {code}, plain:")
    layout = "layout: bench\nmachine: bench\nhost: en-US\njoin: symbolic\nkeys: {Alt+*: graph + *}\n"
    plan = written_plan(layout=layout, machine=text)
    host, typed = plan.layout.host, {}
    for binding in plan.bindings:
        if binding.trigger.extras and isinstance(binding.action, Stroke):
            key = next(key for key in plan.layout.machine.keys if (key.contact,) == binding.action.contacts)
            typed[key.name] = {legend.text for legend in host.keys[binding.trigger.usage].legends if legend}
            assert str(binding.action.types) == str(key.types[frozenset({"graph"})])
    labels = {key: facts["rb_figure_36_uk"][str(row)][7 - bit].lower() for (row, bit), key in names.items()}
    assert set(labels) - set(typed) == {"pound"}
    assert all(labels[key] in texts for key, texts in typed.items())
    assert len(typed) == 47


def grid_of(name: str) -> list[tuple[int, int, str]]:
    """Row, bit and name of each key of a fixture's grid."""
    grid = tree(HANDBOOK / "shared" / "machines" / f"{name}.yaml")["matrix"]["grid"]
    return [(row, bit, key) for row, keys in enumerate(grid.values()) for bit, key in enumerate(keys) if key != "none"]
