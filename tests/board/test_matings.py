"""Ways to put a connector on, against a geometry of points; what they do, against the traced board; the pin to blank, against all."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator

import pytest

from matrixmap.board.geometry import AS_MEANT, Turn, Way, touching, ways
from matrixmap.board.matings import HARMFUL, Harm, harmful_by_hand, joined_by, matings, pin_to_blank
from matrixmap.board.nets import MACHINE, Board, make_board
from matrixmap.model.boards.adapter import Pin
from matrixmap.model.machine import Gender, Header, Numbering
from tests.board.boards import SHIPPED, Edits, checked, project_with, read
from tests.project import call

Point = tuple[float, float]


def header(rows: int, columns: int, numbering: Numbering) -> Header:
    """A connector of a shape."""
    return Header(rows=rows, columns=columns, numbering=numbering, gender=Gender.PLUG)


def points(rows: int, columns: int, numbering: Numbering) -> dict[int, Point]:
    """Pin -> where it lies, counted by walking over the pins; the middle of the connector is the origin."""
    order = (
        [(row, column) for row in range(rows) for column in range(columns)]
        if numbering is Numbering.ROWS
        else [(row, column) for column in range(columns) for row in range(rows)]
    )
    middle = ((columns - 1) / 2, (rows - 1) / 2)
    return {number: (column - middle[0], row - middle[1]) for number, (row, column) in enumerate(order, start=1)}


MOVES = {
    Turn.STRAIGHT: lambda x, y: (x, y),
    Turn.TURNED: lambda x, y: (-x, -y),
    Turn.OTHER_SIDE: lambda x, y: (x, -y),
    Turn.OTHER_SIDE_TURNED: lambda x, y: (-x, y),
}
"""A half turn about the middle, a mirror, and both: as points move."""


@pytest.mark.parametrize("numbering", Numbering)
@pytest.mark.parametrize("rows", [1, 2])
@pytest.mark.parametrize("columns", range(1, 12))
def test_pins_touch_as_points_do(rows: int, columns: int, numbering: Numbering) -> None:
    """For each connector of one row or two and each way, the same pins touch as where points of a moved body lie on each other."""
    shape, lies = header(rows, columns, numbering), points(rows, columns, numbering)
    found = {}
    seen: set[tuple[Point, ...]] = set()
    for turn, move in MOVES.items():
        body = tuple(move(*at) for at in lies.values())
        if body in seen and turn in (Turn.OTHER_SIDE, Turn.OTHER_SIDE_TURNED):
            continue  # a single row looks the same from the other side
        seen.add(body)
        for down in range(-rows, rows + 1):
            for along in range(-columns, columns + 1):
                pairs = sorted(
                    (pin, own)
                    for own, (x, y) in lies.items()
                    for pin, (at_x, at_y) in lies.items()
                    if abs(move(x, y)[0] + along - at_x) + abs(move(x, y)[1] + down - at_y) < 0.1
                )
                if pairs:
                    found[Way(turn=turn, down=down, along=along)] = tuple(pairs)
    assert {way: touching(shape, shape, way) for way in ways(shape)} == found


@pytest.mark.parametrize("numbering", Numbering)
def test_pins_and_cells_are_counted_both_ways(numbering: Numbering) -> None:
    """The cell of a pin has that pin."""
    shape = header(2, 11, numbering)
    assert [shape.pin(shape.cell(pin)) for pin in range(1, 23)] == list(range(1, 23))
    assert [shape.pin(cell) for cell in shape.cells()][:3] == ([1, 2, 3] if numbering is Numbering.ROWS else [1, 3, 5])


def boards(clearance: str = "0") -> Iterator[Board]:
    """The shipped adapters on both revisions, with another clearance around the connectors."""
    text = "gender: plug\n  clearance: 0\n"
    late = "gender: plug\n      clearance: 0\n"
    pairs = [(text, text.replace("0", clearance)), (late, late.replace("0", clearance))]
    for id in SHIPPED:
        adapter, machine = read(project_with({("machine", "quillon8"): pairs}), id)
        for fit in adapter.fits:
            board = make_board(adapter, machine, fit)
            assert board is not None
            yield board


def test_a_short_circuit_is_one_on_the_traced_board() -> None:
    """A mating is told to join a supply to ground exactly where the traced board has a supply in a group of ground."""
    shorts = 0
    for board in boards():
        for mating in matings(board):
            pairs = joined_by(board, mating)
            traced = make_board(board.adapter, board.machine, board.fit, pairs=pairs)
            assert traced is not None
            short = any(group in traced.ground for group in traced.power)
            assert (mating.harm is Harm.SHORT) == short, mating
            shorts += short
    assert shorts > 20


def test_it_works_exactly_where_every_line_is_where_it_was() -> None:
    """A mating is told to work exactly where each line touches what it is meant to touch; as meant it works."""
    for board in boards():
        meant = {line: board.line_group(line) for line in board.contact_lines}
        for mating in matings(board):
            if mating.way == AS_MEANT:
                assert mating.harm is Harm.WORKS
            if mating.harm is Harm.WORKS:
                pairs = joined_by(board, mating)
                own = {board.connector.pins[pin - 1]: at for pin, at in pairs}
                for line, group in meant.items():
                    assert group == board.groups.of(Pin(board.header.ref, str(own[line])))


def test_what_prevents_a_way_does() -> None:
    """The filled hole is over a pin, or the body stands out by more than the clearance; what nothing prevents has neither."""
    for board in boards("3"):
        cable = board.fit.through
        key = board.header.key_pin if cable is None else cable.key_pin
        for mating in matings(board):
            if mating.way == AS_MEANT or mating.at is not None:
                continue
            out = max(abs(mating.way.down), abs(mating.way.along)) > 3
            turn = mating.way.turn
            if board.fit.other_side:
                turn = {
                    Turn.STRAIGHT: Turn.OTHER_SIDE,
                    Turn.TURNED: Turn.OTHER_SIDE_TURNED,
                    Turn.OTHER_SIDE: Turn.STRAIGHT,
                    Turn.OTHER_SIDE_TURNED: Turn.TURNED,
                }[turn]
            lies = points(board.shape.rows, board.shape.columns, board.shape.numbering)
            x, y = MOVES[turn](*lies[key or 0])
            over = [
                pin
                for pin, at in lies.items()
                if abs(x + mating.way.along - at[0]) + abs(y + mating.way.down - at[1]) < 0.1
            ]
            blocked = bool(over) and over[0] != board.connector.key_pin
            assert (mating.prevented_by is not None) == (out or blocked), mating


def test_the_pin_to_blank_is_the_best_of_all() -> None:
    """With each pin that neither side needs blanked in turn, none leaves fewer harmful ways than the one that is proposed."""
    for board in boards("2"):
        if board.fit.through is not None:
            continue
        best = pin_to_blank(board)
        left = {}
        for pin, line in enumerate(board.connector.pins, start=1):
            spare = line == "ground" or line is None or (line == "supply" and board.adapter.id == "pommel")
            if spare:
                # What the blanked pin no longer joins is left as it is: harm is judged with all pins, as before blanking.
                key = (pin, pin)
                left[pin] = sum(
                    mating.harm >= HARMFUL and not _stops(board, mating.way, key)
                    for mating in matings(board)
                    if mating.by_hand and mating.way != AS_MEANT
                )
        assert best.pin is not None
        assert best.left == min(left.values()) == left[best.pin]
        assert best.left < best.without


def _stops(board: Board, way: Way, key: tuple[int, int]) -> bool:
    lies = points(board.shape.rows, board.shape.columns, board.shape.numbering)
    x, y = MOVES[way.turn](*lies[key[1]])
    over = [pin for pin, at in lies.items() if abs(x + way.along - at[0]) + abs(y + way.down - at[1]) < 0.1]
    return max(abs(way.down), abs(way.along)) > 2 or (bool(over) and over[0] != key[0])


def test_the_finding_is_about_the_same_ways() -> None:
    """The ways that the finding counts are those of the whole list that may damage something, open to a hand."""
    for clearance in ("0", "1", "4"):
        for board in boards(clearance):
            listed = {mating.way for mating in matings(board) if mating.is_open_harm and mating.by_hand}
            assert {mating.way for mating in harmful_by_hand(board)} == listed
            assert (clearance == "0") == (not listed)


def test_the_machines_pins_are_one_supply() -> None:
    """All ground pins of the machine are joined within it."""
    for board in boards():
        grounds = [at for at, line in enumerate(board.connector.pins, start=1) if line == "ground"]
        assert len({board.groups.of(Pin(MACHINE, str(at))) for at in grounds}) == 1


CROSSED = [[pin, pin % 22 + 1] for pin in range(1, 22)]
"""A cable that leads each pin to the next number, and lacks a wire."""


def cabled(clearance: str, wires: object = "straight") -> Iterator[Board]:
    """The shipped adapters on the revision that they reach through a cable, with another clearance around the adapter's header."""
    straight = "wires: straight"
    edits: Edits = {
        ("part", "socket-2x11"): [("clearance: 0}", f"clearance: {clearance}}}")],
        ("part", "ribbon-2x11"): [(straight, f"wires: {json.dumps(wires)}" if wires != "straight" else straight)],
    }
    for id in SHIPPED:
        adapter, machine = read(project_with(edits), id)
        board = make_board(adapter, machine, next(fit for fit in adapter.fits if fit.through is not None))
        assert board is not None
        yield board


@pytest.mark.parametrize("wires", ["straight", CROSSED])
def test_both_ends_of_a_cable_can_be_put_on_wrongly(wires: object) -> None:
    """At either end the pins are joined that lie on each other there, through the wires, to those at the other end as it is meant."""
    leads = dict(CROSSED) if wires != "straight" else {pin: pin for pin in range(1, 23)}
    for board in cabled("30", wires):
        lies = points(2, 11, Numbering.ZIGZAG)
        seen = 0
        for mating in matings(board):
            shift = (mating.way.along, mating.way.down)
            machine = {}
            for end, at in lies.items():  # this end of the cable, which is mounted on the other side
                x, y = at if mating.at else MOVES[mating.way.turn](*at)
                x, y = MOVES[Turn.OTHER_SIDE](x, y)
                x, y = (x, y) if mating.at else (x + shift[0], y + shift[1])
                machine[end] = next((pin for pin, there in lies.items() if math.dist((x, y), there) < 0.1), None)
            adapter = {}
            for end, at in lies.items():  # that end
                x, y = MOVES[mating.way.turn](*at) if mating.at else at
                x, y = (x + shift[0], y + shift[1]) if mating.at else (x, y)
                adapter[end] = next((pin for pin, there in lies.items() if math.dist((x, y), there) < 0.1), None)
            pairs = {(machine[end], adapter[far]) for end, far in leads.items()}
            assert set(joined_by(board, mating)) == {(pin, own) for pin, own in pairs if pin and own}
            seen += mating.at is not None
        assert seen == 4 * 21 * 3 - 1


def test_what_prevents_a_way_at_the_adapters_end() -> None:
    """There the header's clearance counts, and its filled hole over a pin of the cable's plug, which lacks the one that is meant."""
    for board in cabled("3"):
        lies = points(2, 11, Numbering.ZIGZAG)
        hole = lies[board.header.key_pin or 0]
        for mating in matings(board):
            if mating.at is None:
                continue
            assert mating.at == "J1"
            moved = {end: MOVES[mating.way.turn](*at) for end, at in lies.items()}
            over = [
                end
                for end, (x, y) in moved.items()
                if math.dist((x + mating.way.along, y + mating.way.down), hole) < 0.1
            ]
            out = max(abs(mating.way.along), abs(mating.way.down)) > 3
            assert (mating.prevented_by is not None) == (out or (bool(over) and over[0] != board.header.key_pin)), (
                mating
            )


def test_a_slip_at_the_adapters_end_is_told() -> None:
    """With room beside the header its end of the cable is in the finding; as the boards ship, nothing harmful is left there."""
    edits: Edits = {("part", "socket-2x11"): [(", clearance: 0}", "}")]}
    (told,) = [each for each in checked("ferrule", edits, "quillon8/late").findings if each.slug == "harmful-mating"]
    assert re.search(r"^put on .* at J1, J1 joins a supply to ground", told.text)
    done = call("adapter", "ferrule", "--machine", "quillon8/late", "--matings", "--format", "json")
    ends = {each["end"] for each in json.loads(done.stdout)["boards"][0]["matings"]}
    assert ends == {"machine", "J1"}


def test_a_plug_goes_into_a_socket() -> None:
    """Two plugs, or two sockets, cannot be put on each other: told, with what is what; through a cable each joint counts."""
    for fit, text in (
        ("quillon8", "the connector of quillon8 is a plug, and J1 is a plug: pins must go into holes"),
        (
            "quillon8/late",
            "the connector of quillon8/late is a plug, and J1 is a plug, and ribbon-2x11 has a socket at the machine and the other kind at "
            "J1: pins must go into holes",
        ),
    ):
        edits: Edits = {("part", "socket-2x11"): [("gender: socket", "gender: plug")]}
        assert [(each.slug, each.text) for each in checked("ferrule", edits, fit).findings] == [("not-mated", text)]
