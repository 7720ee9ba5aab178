"""The driver of an adapter on a machine in C: constant tables, and the code that reads them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from importlib.resources import files
from textwrap import wrap

from matrixmap.board.cautions import CAUTIONS
from matrixmap.board.closers import Closer, Closers, Line, closers_of
from matrixmap.board.routes import Traced
from matrixmap.emit.boards.follow_c import follow_lines
from matrixmap.emit.tables.licence import licence_lines
from matrixmap.emit.tables.names import comment, identifier
from matrixmap.model.boards.adapter import DriverTime
from matrixmap.model.machine import Contact

CHAIN, PIN, NONE, LOW = 0xFD, 0xFE, 0xFF, 0x80
"""As in mm_board_driver.h."""

MOST_CONTACTS = 254


class BoardError(Exception):
    """The board does not fit into the tables of a driver; the text says why."""


@cache
def driver_files() -> tuple[tuple[str, str], ...]:
    """Name and text of the C files that are the same for every board."""
    folder = files("matrixmap") / "emit" / "boards"
    return tuple((name, (folder / name).read_text(encoding="utf-8")) for name in ("mm_board.h", "mm_board_driver.h"))


def board_name(adapter: str, machine: str) -> str:
    """The name of a driver's files without their ending. It is unambiguous, because neither id has an underscore."""
    return f"mm_board_{adapter}_{machine}"


def board_files(traced: Traced, made_by: str) -> dict[str, str]:
    """File name -> text of the driver of one board. ClosersError or BoardError if there can be none."""
    board = traced.board
    name = board_name(board.adapter.id, board.machine.id)
    closers = closers_of(traced)
    tables = _Tables(traced, closers)
    return {
        f"{name}.h": "\n".join(_header(traced, closers, tables, name, made_by)),
        f"{name}.c": "\n".join(_source(traced, closers, tables, name, made_by)),
    }


class _Tables:
    """Numbers for the pins that the driver writes."""

    def __init__(self, traced: Traced, closers: Closers) -> None:
        machine = traced.board.machine
        self.ports = sorted({line.port for line in _lines(closers)})
        self.pins: list[tuple[str, int]] = sorted({(line.port, line.bit) for line in _lines(closers)})
        highest = max(bit for _, bit in self.pins)
        self.width = next(width for width in (8, 16, 32) if highest < width)
        self.contacts = machine.crosspoints + len(machine.direct)
        self.pulls = len(machine.sense) if closers.pulls else 0
        if len(self.pins) > 0x7F or self.contacts + self.pulls > MOST_CONTACTS:
            raise BoardError(
                f"{len(self.pins)} pins and {self.contacts} contacts are more than the tables of a driver hold"
            )
        self.address = [sorted({line.port for line in store.address}) for store in closers.stores]
        self.address_ports = max((len(ports) for ports in self.address), default=0)
        if closers.chain is not None and closers.chain.bits > MOST_CONTACTS:
            raise BoardError(f"a chain of {closers.chain.bits} bits is longer than the tables of a driver hold")

    def bytes_of(self, bits: int) -> list[int]:
        """Bits of a port as the tables store them: bytes, the low one first."""
        return [bits >> at & 0xFF for at in range(0, self.width, 8)]

    def number(self, line: Line | None) -> int:
        """A pin as the tables store it."""
        if line is None:
            return NONE
        return self.pins.index((line.port, line.bit)) | (LOW if line.low else 0)


def _lines(closers: Closers) -> Iterator[Line]:
    for store in closers.stores:
        yield from (*store.address, store.data, store.strobe, *([store.reset] if store.reset else []))
    chain = closers.chain
    if chain is not None:
        yield from (line for line in (chain.input, chain.clock, chain.latch, chain.enable, chain.clear) if line)
    closed = (*closers.contacts.values(), *closers.pulls.values())
    yield from (closer for closer in closed if isinstance(closer, Line))
    yield from (*closers.select, *closers.sense)


def _header(traced: Traced, closers: Closers, tables: _Tables, name: str, made_by: str) -> Iterator[str]:
    machine, adapter = traced.board.machine, traced.board.adapter
    guard = f"{identifier(name, '').upper()}_H"
    yield from licence_lines()
    yield "/*"
    yield f" * The board {comment(adapter.id)} on {comment(machine.id)}: sizes for its driver. Made by {made_by}."
    yield f" * Source of the wiring: {comment(adapter.source)}."
    yield from _driver_lines(adapter.driver)
    yield " *"
    yield " * Before you wire anything (common practice):"
    yield from (f" * - {comment(caution)}" for caution in CAUTIONS)
    yield " */"
    yield f"#ifndef {guard}"
    yield f"#define {guard}"
    yield ""
    yield "/* Bits of the widest port. */"
    yield f"#define MM_BOARD_PORT_BITS {tables.width}"
    yield ""
    yield from (f"#define {key} {value}" for key, value in _sizes(traced, closers, tables).items())
    yield ""
    yield '#include "mm_board.h"'
    yield ""
    yield "/* Port numbers for mm_board_write and mm_board_read. */"
    yield from (f"#define {identifier(port, 'MM_PORT_')} {number}u" for number, port in enumerate(tables.ports))
    yield ""
    yield "/* The bits of each port that the driver writes. */"
    for port in tables.ports:
        bits = sum({1 << line.bit for line in _lines(closers) if line.port == port and line not in closers.select})
        yield f"#define {identifier(port, 'MM_BOARD_WRITES_')} 0x{bits:08X}ul"
    if closers.select:
        yield from follow_lines(traced, closers)
    yield ""
    yield "#endif"
    yield ""


def _driver_lines(driver: DriverTime | None) -> Iterator[str]:
    """The known times of the driver, for the opening comment."""
    yield " *"
    if driver is None:
        yield " * Its driver has not been measured: the times of tables allow for only one tick of the clock."
        return
    text = (
        "The moment at which mm_board_show changes a contact varies by at most "
        f"{driver.spread(1):g} microseconds for 1 contact, and {driver.spread(8):g} microseconds for 8 that change "
        f"together; measured: {driver.measured}. Tables that are built with this board allow for it. If your driver "
        "takes longer, write its times under driver in the adapter's file and build again."
    )
    if driver.follow_us is not None:
        text += f" After a select line has changed, the sense lines are right within {driver.follow_us:g} microseconds."
    yield from (f" * {line}" for line in wrap(comment(text), 116))


def _sizes(traced: Traced, closers: Closers, tables: _Tables) -> dict[str, str]:
    """The macros that the driver is compiled with."""
    machine, chain, times = traced.board.machine, closers.chain, closers.times
    driver = traced.board.adapter.driver
    sizes: dict[str, str] = {
        "MM_BOARD_SELECT": f"{len(machine.select)}u",
        "MM_BOARD_SENSE": f"{len(machine.sense)}u",
        "MM_BOARD_CROSSPOINTS": f"{machine.crosspoints}u",
        "MM_BOARD_CONTACTS": f"{tables.contacts}u",
        "MM_BOARD_PORTS": f"{len(tables.ports)}u",
        "MM_BOARD_STORES": f"{len(closers.stores)}",
        "MM_BOARD_ADDRESS_PORTS": str(tables.address_ports),
        "MM_BOARD_SETUP_NS": f"{times.setup_ns}u",
        "MM_BOARD_PULSE_NS": f"{times.pulse_ns}u",
        "MM_BOARD_HOLD_NS": f"{times.hold_ns}u",
        "MM_BOARD_WRITE_NS": f"{driver.write_ns if driver else 0}u",
        "MM_BOARD_CHAIN_BITS": str(chain.bits if chain else 0),
        "MM_BOARD_FOLLOWS": str(int(bool(closers.select))),
        "MM_BOARD_PULLS": str(tables.pulls),
        "MM_BOARD_PULLED": f"0x{sum(1 << sense for sense in _pulled(closers)):04X}u",
        "MM_BOARD_GATED": str(int(closers.gated)),
    }
    if closers.sense:
        sizes["MM_BOARD_LOW_BITS"] = "8" if len(closers.sense) <= 8 else "16"
    if chain is not None:
        for word, line in (
            ("IN", chain.input),
            ("CLOCK", chain.clock),
            ("LATCH", chain.latch),
            ("ENABLE", chain.enable),
            ("CLEAR", chain.clear),
        ):
            sizes[f"MM_BOARD_CHAIN_{word}"] = f"0x{tables.number(line):02X}u"
    return sizes


def _pulled(closers: Closers) -> Iterable[int]:
    """The sense lines that the board can pull low at any strobe."""
    return range(len(closers.sense)) if closers.sense else closers.pulls


def _source(traced: Traced, closers: Closers, tables: _Tables, name: str, made_by: str) -> Iterator[str]:
    machine = traced.board.machine
    yield from licence_lines()
    yield f"/* The tables of the board {comment(traced.board.adapter.id)} on {comment(machine.id)}. Made by {made_by}. */"
    yield f'#include "{name}.h"'
    yield ""
    yield "#if MM_SELECT_MAX < MM_BOARD_SELECT"
    yield '#error "the runtime is compiled for fewer select lines than the machine of this board has"'
    yield "#endif"
    yield ""
    yield "/* Pins: port, and mask with the low byte first. */"
    yield "static const uint8_t mm_board_pins[] MM_TABLE = {"
    for port, bit in tables.pins:
        mask = ", ".join(f"0x{byte:02X}u" for byte in tables.bytes_of(1 << bit))
        yield f"    {tables.ports.index(port)}u, {mask}, /* {comment(port)}{bit} */"
    yield "};"
    yield ""
    behind = ", then sense lines pulled to ground" if tables.pulls else ""
    yield f"/* Contacts{behind}: where each is closed, and its address, bit or pin there. */"
    yield "static const uint8_t mm_board_contacts[] MM_TABLE = {"
    for number in range(tables.contacts):
        contact = Contact(number)
        row = ", ".join(f"0x{byte:02X}u" for byte in _row(closers, tables, closers.contacts.get(contact)))
        yield f"    {row}, /* {comment(machine.contact_name(contact))} */"
    for sense in range(tables.pulls):
        row = ", ".join(f"0x{byte:02X}u" for byte in _row(closers, tables, closers.pulls.get(sense)))
        yield f"    {row}, /* {comment(machine.sense[sense])} to ground */"
    yield "};"
    yield from _parts(closers, tables)
    yield ""
    yield '#include "mm_board_driver.h"'
    yield ""


def _parts(closers: Closers, tables: _Tables) -> Iterator[str]:
    """The tables of stores and of a chain, if there are any."""
    if closers.stores:
        yield ""
        yield "/* Stores: port and mask for each port of the address, then the data, strobe and reset pins. */"
        yield "static const uint8_t mm_board_stores[] MM_TABLE = {"
        for store, ports in zip(closers.stores, tables.address, strict=True):
            row: list[int] = []
            for port in ports:
                mask = sum(1 << line.bit for line in store.address if line.port == port)
                row += [tables.ports.index(port), *tables.bytes_of(mask)]
            row += [0] * (len(tables.bytes_of(0)) + 1) * (tables.address_ports - len(ports))
            row += [tables.number(line) for line in (store.data, store.strobe, store.reset)]
            yield f"    {', '.join(f'0x{byte:02X}u' for byte in row)},"
        yield "};"
    if closers.chain is not None:
        pulls = {tables.contacts + sense: closer for sense, closer in closers.pulls.items()}
        bits = {
            closer[1]: row
            for row, closer in (*closers.contacts.items(), *pulls.items())
            if isinstance(closer, tuple) and closer[0] == -1
        }
        yield ""
        yield "/* The contact of each bit of the chain, starting at the register that the processor feeds. */"
        yield "static const uint8_t mm_board_chain[] MM_TABLE = {"
        for bit in range(closers.chain.bits):
            yield f"    0x{bits.get(bit, NONE):02X}u,"
        yield "};"


def _row(closers: Closers, tables: _Tables, closer: Closer | None) -> list[int]:
    """The row of a contact: where it is closed, followed by the bits of its address, or by the bit or pin."""
    width = 1 + max(1, tables.address_ports * tables.width // 8)
    if closer is None:
        row = [NONE]
    elif isinstance(closer, Line):
        row = [PIN, tables.number(closer)]
    elif closer[0] < 0:
        row = [CHAIN, closer[1]]
    else:
        row = [closer[0]]
        for port in tables.address[closer[0]]:
            own = [(bit, line) for bit, line in enumerate(closers.stores[closer[0]].address) if line.port == port]
            row += tables.bytes_of(sum(1 << line.bit for bit, line in own if (closer[1] >> bit & 1) != line.low))
    return row + [0] * (width - len(row))
