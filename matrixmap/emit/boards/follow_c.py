"""The C routine of a board with contacts that follow the select lines: unrolled for its own pins."""

from __future__ import annotations

from collections.abc import Iterator

from matrixmap.board.closers import Closers
from matrixmap.board.routes import Traced
from matrixmap.emit.tables.names import comment, identifier

FOLLOW_OPENING = (
    "",
    "/* How the functions below access ports. To use instructions instead of calls, define both before including this. */",
    "#ifndef MM_BOARD_READ",
    "#define MM_BOARD_READ(port) mm_board_read(port)",
    "#endif",
    "#ifndef MM_BOARD_WRITE",
    "#define MM_BOARD_WRITE(port, mask, bits) mm_board_write(port, mask, bits)",
    "#endif",
    "",
    "#ifdef __cplusplus",
    'extern "C" {',
    "#endif",
    "",
    "/* The sense lines to pull low for the strobed select lines. Same steps for all masks, without a loop. */",
)

FOLLOW_IN_LOOP = (
    "",
    "#if defined MM_BOARD_INTERRUPTS_OFF && defined MM_BOARD_INTERRUPTS_ON",
    "/* The same for the main loop, after mm_board_show. Interrupts are off only while it compares and writes. */",
    "MM_FOLLOW_INLINE void mm_board_follow_in_loop(const mm_board *board)",
    "{",
)

FOLLOW_END = (
    "        mm_board_pull(low); /* otherwise the interrupt has used the new masks, or is about to */",
    "    }",
    "    MM_BOARD_INTERRUPTS_ON();",
    "}",
    "#endif",
    "",
    "#ifdef __cplusplus",
    "}",
    "#endif",
)


def follow_lines(traced: Traced, closers: Closers) -> Iterator[str]:
    """The routine that answers the strobes of select lines: unrolled, with a mask of sense lines for each."""
    names = traced.board.machine.select
    ports = sorted({line.port for line in closers.select})
    lines = [f"lines{number}" for number in range(len(ports))]
    masks = [sum(1 << line.bit for line in closers.select if line.port == port) for port in ports]
    reads = [
        f"(mm_board_bits)(MM_BOARD_READ({identifier(port, 'MM_PORT_')}) & 0x{mask:X}u)"
        for port, mask in zip(ports, masks, strict=True)
    ]
    yield from FOLLOW_OPENING
    given = ", ".join(f"mm_board_bits {name}" for name in lines)
    yield f"MM_FOLLOW_INLINE mm_board_low mm_board_asked(const mm_board *board, {given})"
    yield "{"
    yield "    const volatile mm_board_low *set = board->low + board->set;"
    yield "#if MM_PADS"
    yield "    mm_board_low low = set[MM_BOARD_SELECT]; /* what pads pull whatever is strobed */"
    yield "#else"
    yield "    mm_board_low low = 0u;"
    yield "#endif"
    yield ""
    for at, line in enumerate(closers.select):
        yield f"    if (({lines[ports.index(line.port)]} & 0x{1 << line.bit:X}u) == 0u) {{ /* {comment(names[at])} */"
        yield f"        low = (mm_board_low)(low | set[{at}]);"
        yield "    }"
    yield "    return low;"
    yield "}"
    yield ""
    yield "/* Pulls these sense lines low, and releases all others. */"
    yield "MM_FOLLOW_INLINE void mm_board_pull(mm_board_low low)"
    yield "{"
    yield "    mm_board_low high = (mm_board_low)~low;"
    yield ""
    yield from _pulls(closers)
    yield "}"
    yield ""
    yield "/* Sets the sense lines for the strobed select lines: for the interrupt of the select lines, at both edges. */"
    yield "MM_FOLLOW_INLINE void mm_board_follow_inline(const mm_board *board)"
    yield "{"
    yield f"    mm_board_pull(mm_board_asked(board, {', '.join(reads)}));"
    yield "}"
    yield from FOLLOW_IN_LOOP
    for name, read in zip(lines, reads, strict=True):
        yield f"    mm_board_bits {name} = {read};"
    yield f"    mm_board_low low = mm_board_asked(board, {', '.join(lines)});"
    yield ""
    yield "    MM_BOARD_INTERRUPTS_OFF();"
    yield f"    if ({' && '.join(f'{read} == {name}' for name, read in zip(lines, reads, strict=True))}) {{"
    yield from FOLLOW_END


def _pulls(closers: Closers) -> Iterator[str]:
    """A write for each port of sense lines.

    Lines with the same distance between port bit and mask bit are moved together.
    """
    for port in sorted({line.port for line in closers.sense}):
        own = [(number, line.bit) for number, line in enumerate(closers.sense) if line.port == port]
        parts = []
        for shift in sorted({bit - number for number, bit in own}):
            mask = sum(1 << bit for number, bit in own if bit - number == shift)
            moved = f"((mm_board_bits)high << {shift})" if shift > 0 else f"(high >> {-shift})" if shift else "high"
            parts.append(f"({moved} & 0x{mask:X}u)")
        joined = " | ".join(parts)
        mask = sum(1 << bit for _, bit in own)
        yield f"    MM_BOARD_WRITE({identifier(port, 'MM_PORT_')}, 0x{mask:X}u, (mm_board_bits){f'({joined})' if len(parts) > 1 else joined});"
