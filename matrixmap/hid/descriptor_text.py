"""The bytes of a report descriptor in the forms that people exchange: binary, hexadecimal text, or an array in C."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from matrixmap.hid.descriptor import parse_descriptor
from matrixmap.hid.items import MAX_DESCRIPTOR_BYTES

MAX_TEXT_BYTES: Final = 32 * MAX_DESCRIPTOR_BYTES
"""No text of a descriptor is longer: a byte with a comment on a separate line needs about this much."""

_COMMENT: Final = re.compile(r"/\*.*?\*/|//[^\n]*|#[^\n]*", re.DOTALL)
_STRING: Final = re.compile(r'"[^"\n]*"')
_TOKEN: Final = re.compile(r"[^\s,;:{}()\[\]]+")
_HEX_PAIRS: Final = re.compile(r"(?:[0-9A-Fa-f]{2})+\Z")
_C_NUMBER: Final = re.compile(r"(?:0[xX]([0-9A-Fa-f]+)|0[bB]([01]+)|([0-9]+))[uUlL]*\Z")
_TAGGED: Final = re.compile(rb"^[ \t]*(?:[A-Z]:[ \t]|\[?[0-9]+(?:\.[0-9]|[mu]?s\b))", re.MULTILINE)

_DIGITS: Final = re.compile(rb"(?:0[xX])?[0-9A-Fa-f]{2}(?:[\s,]|0[xX]|[0-9A-Fa-f]{2})*\Z")


@dataclass(frozen=True, slots=True, kw_only=True)
class DescriptorText:
    """The bytes that a text gives, up to the fault if there is one; `line` is the fault's line, counted from 1."""

    data: bytes
    line: int
    fault: str | None


def is_text(data: bytes) -> bool:
    """Whether this is text and not the bytes of a descriptor, which begin with a control character."""
    return not any(byte < 0x20 and byte not in b"\t\n\r\f" for byte in data[:4096]) and bool(data.strip())


def is_recording(data: bytes) -> bool:
    """Whether this is the start of a recording: a line with a tag such as `E:` or with a time."""
    return is_text(_first_line(data)) and _TAGGED.search(data) is not None


def holds_reports(data: bytes) -> bool:
    """Whether the first line that is not a comment is a recording's: tagged, timed, or of hexadecimal digits."""
    first = _first_line(data)
    return is_text(first) and bool(_TAGGED.match(first) or _DIGITS.match(first))


def holds_descriptor(data: bytes) -> bool:
    """Whether this is a whole report descriptor of a keyboard or another device, and not its reports.

    No report reads as a descriptor by chance: it would have to close the collections that it opens.
    """
    text = read_descriptor_text(data)
    if text.fault is not None or not text.data.endswith(b"\xc0"):
        return False
    parsed = parse_descriptor(text.data)
    return parsed.fault is None and bool(parsed.descriptor.reports)


def _first_line(data: bytes) -> bytes:
    """The first line that is neither empty nor a comment; junk in later lines does not change what a file is."""
    lines = (line.strip() for line in data.removeprefix(b"\xef\xbb\xbf").split(b"\n"))
    return next((line for line in lines if line and not line.startswith(b"#")), b"")


def read_descriptor_text(data: bytes) -> DescriptorText:
    """The bytes of a descriptor from a file's content. Comments of C and lines after `#` do not count."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _fault(1, "this is text in UTF-16; save it as UTF-8 or ASCII")
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    if not is_text(data):
        return DescriptorText(data=data, line=1, fault=None)
    if len(data) > MAX_TEXT_BYTES:
        return _fault(1, f"{len(data)} bytes of text are too many for a report descriptor")
    # Latin-1 takes any byte; anything that is not ASCII outside a comment is refused as a token.
    return _read_tokens(_blanked(data.decode("latin-1")))


def _fault(line: int, text: str) -> DescriptorText:
    return DescriptorText(data=b"", line=line, fault=text)


def _blanked(text: str) -> str:
    """The text without comments, and in C without what is outside the braces; lines keep their numbers."""
    text = _COMMENT.sub(_only_lines, text)
    if "{" not in text:
        return text
    text = _STRING.sub(_only_lines, text)
    start = text.index("{") + 1
    end = text.find("}", start)
    return "\n" * text.count("\n", 0, start) + text[start : end if end >= 0 else len(text)]


def _only_lines(match: re.Match[str]) -> str:
    return "\n" * match[0].count("\n") or " "


def _read_tokens(text: str) -> DescriptorText:
    """The values in order: those of C if the first has a prefix, else pairs of hexadecimal digits."""
    tokens = list(_TOKEN.finditer(text))
    in_c = any(token[0][:2] in ("0x", "0X") for token in tokens)
    out = bytearray()
    for token in tokens:
        found = _c_value(token[0]) if in_c else _hex_value(token[0])
        if found is None:
            wanted = "a byte such as 0x05" if in_c else "pairs of hexadecimal digits"
            line = text.count("\n", 0, token.start()) + 1
            shown = "".join(char if " " <= char <= "~" else f"\\x{ord(char):02x}" for char in token[0][:40])
            return DescriptorText(data=bytes(out), line=line, fault=f"'{shown}' is not {wanted}")
        out += found
    return DescriptorText(data=bytes(out), line=1, fault=None)


def _hex_value(token: str) -> bytes | None:
    return bytes.fromhex(token) if _HEX_PAIRS.match(token) else None


def _c_value(token: str) -> bytes | None:
    match = _C_NUMBER.match(token)
    if match is None or len(token) > 24:
        return None
    hexadecimal, binary, decimal = match.groups()
    if decimal and len(decimal) > 1 and decimal.startswith("0"):
        return None  # octal in C, and more likely hexadecimal without its prefix
    value = int(hexadecimal or binary or decimal, 16 if hexadecimal else 2 if binary else 10)
    return bytes([value]) if value <= 0xFF else None
