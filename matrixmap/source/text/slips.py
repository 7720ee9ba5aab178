"""What did a person mean by a line that YAML cannot read? Unquoted marks; lost blanks, commas, colons and brackets.

The files hold names, legends and lists of them, mostly on one line, so the intended meaning of a line can be found.
Each slip says what to put where; a sure one may be written into the file.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from matrixmap.source import rules

UNREAD = "\U0010fffd"
"""Replaces unreadable text in a repaired line: a value with it has already been reported."""

OPENING = {"[": "]", "{": "}"}
MARKS = "-?:,[]{}#&*!|>'\"%@`"
ENDS = re.compile(r"[ ]*(?=[,\]}]|$|[ ]#)")
KEY = re.compile(
    r"(?:'(?:[^']|'')*'|\"(?:[^\"\\]|\\.)*\"|[^\s\[\]{},#][^\[\]{},#'\"]*?|[\[\]{},#'\"])[ ]*:(?=\s|$)[ ]*"
)
SINGLE, DOUBLE = re.compile(r"'(?:[^']|'')*+'"), re.compile(r'"(?:[^"\\]|\\.)*+"')
OTHER_SIGN = re.compile(r"([^\s:#'\"\[\]{},=]+)([ ]*(?::=|=>|->|=|→)[ ]*)(?=\S)")


@dataclass(frozen=True, slots=True)
class Slip:
    """A slip in a line: its rule, the message, its place, and the replacement for the columns from `start` to `end`."""

    rule: rules.Rule
    text: str
    column: int
    start: int
    end: int
    put: str
    sure: bool = False


def quoted(mark: str) -> str:
    """A mark, quoted as it must be for a legend."""
    return f'"{mark}"' if mark == "'" else f"'{mark}'"


class LineScan:
    """Scans one line, which the line above may have left open; `open` holds the brackets still to close."""

    def __init__(self, line: str, above: tuple[str, ...] = ()) -> None:
        self.line = line
        self.open = list(above)
        self.slips: list[Slip] = []
        self.opened: list[int] = []
        self.at = 0
        self._scan()

    @property
    def indent(self) -> int:
        """The first column of the line."""
        return len(self.line) - len(self.line.lstrip(" "))

    def _scan(self) -> None:
        self.at = self.indent
        if self.line[self.at :].startswith(("#", "---", "...")):
            return
        if not self.open:
            while re.match(r"-[ ]+(?=\S)", self.line[self.at :]) and not self._alone(self.at + 1, "-"):
                self.at += len(self._match(r"-[ ]+"))
            if self.at < len(self.line):
                self._block_entry()
            return
        self._flow(value=self.line[self.at : self.at + 1] not in (",", "]", "}"))

    def _match(self, pattern: str) -> str:
        found = re.compile(pattern).match(self.line, self.at)
        return found.group() if found else ""

    def _block_entry(self) -> None:
        key = KEY.match(self.line, self.at)
        if key:
            mark = self.line[self.at]
            if mark in MARKS and key.group().rstrip(" :") in (mark, ""):
                self._quote(self.at)
            self.at = key.end()
            if self.at < len(self.line) and self.line[self.at] != "#":
                self._value()
                self._behind()
            return
        other = OTHER_SIGN.match(self.line, self.at)
        if other:
            name, sign = other.group(1), other.group(2)
            text = f"after {name} there is {sign.strip()} in place of a colon; write {name}: {self._rest(other.end())}"
            self._add(
                rules.YAML_SYNTAX,
                text,
                other.start(2),
                other.end(2),
                ": ",
                column=other.end(1) + len(sign) - len(sign.lstrip()),
                sure=True,
            )
            self.at = other.end()
            self._value()
            return
        lost = re.compile(r"([A-Za-z0-9+_-]+)[ ]*:(?=[^\s:])").match(self.line, self.at)
        if lost:
            self._lost_blank(lost)
            return
        bare = re.compile(r"([A-Za-z][\w+-]*)([ ]*)(?=[\[{])").match(self.line, self.at)
        if bare:
            text = f"there is no colon after {bare.group(1)}; write {bare.group(1)}: {self._rest(bare.end())}"
            self._add(rules.YAML_SYNTAX, text, bare.start(2), bare.end(), ": ", column=bare.start(1), sure=True)
            self.at = bare.end()
            self._value()
            self._behind()
            return
        if self.line[self.at] in MARKS:
            self._value()

    def _lost_blank(self, lost: re.Match[str]) -> None:
        text = f"there is no blank after the colon of {lost.group(1)}; write {lost.group(1)}: {self._rest(lost.end())}"
        self._add(rules.YAML_SYNTAX, text, lost.end(), lost.end(), " ", column=lost.start(1), sure=True)
        self.at = lost.end()
        self._value()

    def _rest(self, start: int) -> str:
        """The text from a column to the end of the item, for a message."""
        if self.line[start : start + 1] in OPENING:
            return f"{self.line[start]}...{OPENING[self.line[start]]}"
        return re.split(r"\s+#|[,}\]]\s|[}\]]?$", self.line[start:], maxsplit=1)[0].strip()[:40] or "..."

    def _value(self) -> None:
        mark = self.line[self.at : self.at + 1]
        if not mark:
            return
        if mark in MARKS and self._alone(self.at + 1, mark):
            self._quote(self.at)
        elif mark in "'\"":
            self._quoted(mark)
        elif mark in OPENING:
            self.opened.append(self.at)
            self.open.append(OPENING[mark])
            self.at += 1
            self._flow(value=True)
        elif mark in "%@`":
            end = self._plain_end()
            text = f"a value cannot begin with {mark}; write it in quotes: {quoted(self.line[self.at : end].rstrip())}"
            self._add(rules.UNQUOTED, text, self.at, self.at + len(self.line[self.at : end].rstrip()), UNREAD)
            self.at = end
        else:
            self.at = self._plain_end()

    def _alone(self, behind: int, mark: str) -> bool:
        """Whether a mark is the only text where a value belongs, so that it was meant as a legend."""
        rest = self.line[behind:]
        blank = len(rest) - len(rest.lstrip(" "))
        after = rest[blank : blank + 1]
        closer = self.open[-1] if self.open else ""
        if mark in "'\"":
            whole = (SINGLE if mark == "'" else DOUBLE).match(self.line, behind - 1)
            if whole and ENDS.match(self.line, whole.end()) and not re.match(r"[ ]*,[ ]+\S", whole.group()[1:-1]):
                return False
            return after in (",", closer) if self.open else after == ""
        if mark == "#":
            return bool(self.open) and after in (",", "]", "}") and after != ""
        if mark in OPENING:
            return after == "," or (after in ("]", "}") and after != OPENING[mark]) or self._shut_once(behind, mark)
        if mark in "]}":
            if not self.open:
                return after == ""
            outermost = len(self.open) == 1
            return mark != closer or (outermost and (after == closer or (after == "," and closer in rest)))
        if mark == ",":
            return bool(self.open) and ((blank == 0 and after in (",", closer)) or after == ",")
        if mark in "|>" and not self.open:
            return False
        return after in (",", closer) if self.open else after == "" or rest[blank:].startswith("#")

    def _shut_once(self, behind: int, mark: str) -> bool:
        """Whether `[]` or `{}` has just one closing bracket left for two opening ones: `{plain: {}`."""
        rest = self.line[behind:]
        same = len(self.open) == 1 and self.open[-1] == OPENING[mark]
        return same and re.fullmatch(rf"[ ]*\{OPENING[mark]}[ ]*(#.*)?", rest) is not None

    def _quote(self, at: int) -> None:
        mark = self.line[at]
        put = quoted(mark)
        if mark == "#":
            text = f"a # begins a comment, so the rest of the line is not read; as a legend, put it in quotes: {put}"
        elif mark in "'\"":
            text = f"{mark} opens a quote that is never closed; as a legend, put it in quotes: {put}"
        elif mark in "[{":
            text = f"{mark} opens a bracket; as a legend, put it in quotes: {put}"
        elif mark == ",":
            text = (
                f"there is no value before this comma; as a legend, put a comma in quotes: {put}; for nothing, "
                "write the word none"
            )
        else:
            text = f"{mark} is one of YAML's own marks; as a legend, put it in quotes: {put}"
        self._add(rules.UNQUOTED, text, at, at + 1, put, sure=True)
        self.at = at + 1

    def _quoted(self, mark: str) -> None:
        whole = (SINGLE if mark == "'" else DOUBLE).match(self.line, self.at)
        if whole and ENDS.match(self.line, whole.end()):
            self.at = whole.end()
            return
        if mark == '"' and self.line[self.at :].startswith('"\\"') and not (whole and self.open):
            text = (
                "after a backslash, the closing quote counts as a legend; in single quotes a backslash is just "
                "itself: '\\'"
            )
            self._add(rules.YAML_SYNTAX, text, self.at, self.at + 3, "'\\'", sure=True)
            self.at += 3
            return
        if whole and re.match(r"[ ]+\S" if self.open else r"[ ]*\S", self.line[whole.end() :]):
            # A comma is missing after it, or there is too much text; the caller reports it.
            self.at = whole.end()
            return
        end = self._plain_end(self.at + 1)
        inside = self.line[self.at + 1 : end].rstrip()
        if end == self.at + 1 and end < len(self.line):
            # The quote was meant to contain the mark after it: '} or ',.
            inside, end = self.line[end], end + 1
        stop = self.at + 1 + len(inside)
        shown = quoted(inside) if len(inside) < 30 else f"{mark}...{mark}"
        text = f"this quote is opened and not closed; write {shown}"
        if mark == "'" or "'" not in inside:
            self._add(
                rules.YAML_SYNTAX, text, stop, stop, mark, column=self.at, sure=bool(self.open) and len(inside) == 1
            )
        else:
            self._add(rules.YAML_SYNTAX, text, self.at, stop, UNREAD)
        self.at = end

    def _plain_end(self, start: int | None = None) -> int:
        """The end of an unquoted text: at a comment, and inside brackets at a comma or a closing bracket."""
        pattern = r"(?=[,\]}])|(?=[ ]+#)|(?=:[ ])|$" if self.open else r"(?=[ ]+#)|$"
        found = re.compile(pattern).search(self.line, self.at if start is None else start)
        assert found is not None
        return found.start()

    def _flow(self, value: bool) -> None:
        """Scans inside brackets until the line or the last bracket ends; `value`: an item is expected first."""
        wants = value
        while self.open and self.at < len(self.line):
            self.at += len(self._match(r"[ ]+"))
            char = self.line[self.at : self.at + 1]
            if not char or (char == "#" and not self._alone(self.at + 1, "#")):
                return
            if wants:
                before = self.at
                wants = self._item(char)
                if self.at == before and self.slips and self.slips[-1].put == ", ":
                    del self.slips[-1]
                    return
            elif char == ",":
                self.at += 1
                wants = True
            elif char == self.open[-1]:
                self._close()
            elif char in "]}":
                text = f"this {char} closes nothing, because the open bracket closes with {self.open[-1]}"
                self._add(rules.YAML_SYNTAX, text, self.at, self.at + 1, self.open[-1])
                self._close()
            else:
                end = self._plain_end()
                text = f"there is no comma before {self.line[self.at : end].split(':')[0].strip()[:30] or char}"
                self._add(rules.YAML_SYNTAX, text, self.at, self.at, ", ", sure=True)
                wants = True

    def _close(self) -> None:
        self.at += 1
        self.open.pop()
        if self.opened:
            self.opened.pop()

    def _item(self, char: str) -> bool:
        """Reads an item of a list or an entry of a mapping; returns whether another is expected directly after it."""
        closer = self.open[-1]
        if char == closer and not self._alone(self.at + 1, char):
            self._close()
            return False
        if closer == "}":
            key = KEY.match(self.line, self.at)
            if key and not (char in MARKS and key.end() - self.at > 1 and char in "]}[{,"):
                if char in MARKS and key.group().rstrip(" :") in (char, ""):
                    self._quote(self.at)
                self._entry_value(key.end())
                return False
            lost = re.compile(r"([A-Za-z0-9+_ -]+):(?=[^\s,}])").match(self.line, self.at)
            if lost:
                self._lost_blank(lost)
                return False
            other = OTHER_SIGN.match(self.line, self.at)
            if other:
                name, sign = other.group(1), other.group(2)
                text = (
                    f"after {name} there is {sign.strip()} in place of a colon; write {name}: {self._rest(other.end())}"
                )
                self._add(rules.YAML_SYNTAX, text, other.start(2), other.end(2), ": ", column=other.start(2), sure=True)
                self.at = other.end()
                self._value()
                return False
        if char == "," and not self._alone(self.at + 1, char):
            self._missing(self.at)
            return False
        self._value()
        return False

    def _entry_value(self, start: int) -> None:
        self.at = start
        char = self.line[self.at : self.at + 1]
        if not char or (char == "#" and not self._alone(self.at + 1, "#")):
            return
        if (char == "," and not self._alone(self.at + 1, ",")) or (
            char == self.open[-1] and not self._alone(self.at + 1, char)
        ):
            self._missing(self.at)
        else:
            self._lost_comma(start)
            self._value()

    def _lost_comma(self, start: int) -> None:
        """A second entry after a value without a comma between: `{plain: 1 shift: '!'}`."""
        found = re.compile(r"([^\s,\[\]{}'\"#:]+)([ ]+)(?=[\w+-]+:[ ])").match(self.line, start)
        if found and self.open:
            name = self.line[found.end() :].split(":")[0]
            text = f"there is no comma before {name}"
            self._add(rules.YAML_SYNTAX, text, found.end(1), found.end(1), ",", column=found.end(), sure=True)
            self.at = found.end(1)

    def _missing(self, at: int) -> None:
        mark = self.line[at]
        text = f"there is no value before {mark}; for nothing, write none; as a legend, write {quoted(mark)}"
        self._add(rules.EMPTY_TEXT, text, at, at, UNREAD)

    def _behind(self) -> None:
        """Checks the text after the value of a line."""
        if self.open or self.at >= len(self.line):
            return
        rest = self.line[self.at :]
        text = rest.lstrip(" ")
        if not text or text.startswith("#"):
            return
        at = self.at + len(rest) - len(text)
        if text[0] in "]}":
            self._add(
                rules.YAML_SYNTAX,
                f"this {text[0]} closes nothing; remove it, or quote a legend: {quoted(text[0])}",
                at,
                len(self.line),
                "",
            )
        else:
            fault = "after a closing quote or bracket, only a comment may follow"
            self._add(rules.YAML_SYNTAX, fault, at, len(self.line), "")

    def _add(
        self, rule: rules.Rule, text: str, start: int, end: int, put: str, column: int | None = None, sure: bool = False
    ) -> None:
        self.slips.append(Slip(rule, text, start if column is None else column, start, end, put, sure))


def other_sign(text: str) -> str:
    """What is wrong with the name of an entry that has another sign instead of the colon, or nothing."""
    other = re.fullmatch(r"([A-Za-z0-9+_ -]+?)[ ]*(:=|=>|->|=|→)[ ]*(\S+)", text)
    return f"after {other[1]} there is {other[2]} in place of a colon; write {other[1]}: {other[3]}" if other else ""


def lost_colon(text: str) -> str:
    """What is wrong with a text in the place of entries: no blank after its colon, or another sign instead of it."""
    lost = re.match(r"([A-Za-z0-9+_-]+)[ ]*:(?=\S)(\S+)", text)
    if lost:
        return f"there is no blank after the colon of {lost[1]}; write {lost[1]}: {lost[2]}"
    other = re.match(r"([A-Za-z0-9+_-]+)[ ]*(:=|=>|->|=|→)[ ]*(\S+)", text)
    return f"after {other[1]} there is {other[2]} in place of a colon; write {other[1]}: {other[3]}" if other else ""
