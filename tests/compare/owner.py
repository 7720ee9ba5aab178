"""The page of a comparison, read back: what stands on its keys, in its lists and in its legend."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

Node = ET.Element


def main_of(page: str) -> Node:
    """The body of a page, which has to be well-formed."""
    return ET.fromstring(page[page.index("<main>") : page.index("</main>") + len("</main>")])


@dataclass(frozen=True)
class Key:
    """A changed key as it is drawn: what is printed on it, and its lines."""

    print: str
    lines: tuple[str, ...]


class OwnerPage:
    """The owner's part of a page."""

    def __init__(self, page: str) -> None:
        self.main = main_of(page)
        self.ids = {node.get("id"): node for node in self.main.iter() if node.get("id")}

    def text(self, node: Node) -> str:
        """All text of an element, each sign by its character, and the arrow between old and new as one."""
        if node.tag == "use":
            symbol = self.ids[str(node.get("href"))[1:]]
            sign = str(symbol.get("data-sign"))
            return " → " if sign == "becomes" else sign
        parts = [node.text or "", *(f"{self.text(child)}{child.tail or ''}" for child in node)]
        return "".join(parts)

    def lines(self, key: Node) -> list[Node]:
        """The lines on a drawn key: texts, groups of texts and signs, and signs that stand alone."""
        return [one for one in key if one.tag in ("text", "g", "use")]

    @property
    def sections(self) -> dict[str, Node]:
        """The keyboards by the names of their layouts."""
        return {str(node.get("id")): node for node in self.main.iter("section") if node.get("class") == "keyboard"}

    def index(self) -> dict[str, str]:
        """What can be chosen: where it leads -> its words."""
        return {str(a.get("href")): self.text(a) for nav in self.main.iter("nav") for a in nav.iter("a")}

    def rows(self, name: str) -> list[tuple[str, str, str]]:
        """The list of a keyboard: press, before, now."""
        found = []
        for row in self.sections[name].iter("tr"):
            cells = [self.text(cell) for cell in row.iter("td")]
            if cells:
                found.append((cells[0], cells[1], cells[2]))
        return found

    def keys(self, name: str) -> list[Key]:
        """The changed keys in the picture of a keyboard, through what pictures share."""
        whole = next(svg for svg in self.sections[name].iter("svg") if svg.get("class") == "whole")
        (use,) = whole.iter("use")
        board = self.ids[str(use.get("href"))[1:]]
        found = []
        for each in board.iter("use"):
            drawn = self.ids[str(each.get("href"))[1:]]
            if any(path.get("class") == "hot" for path in drawn.iter("path")):
                some = self.lines(drawn)
                prints = [self.text(one) for one in some if one.get("class") == "p"]
                lines = tuple(_tidied(self.text(one)) for one in some if one.get("class") != "p")
                found.append(Key("".join(prints), lines))
        return found

    def prints(self, name: str) -> list[str]:
        """What is printed on all keys of a picture, changed or not."""
        whole = next(svg for svg in self.sections[name].iter("svg") if svg.get("class") == "whole")
        (use,) = whole.iter("use")
        board = self.ids[str(use.get("href"))[1:]]
        groups = [board, *(self.ids[str(each.get("href"))[1:]] for each in board.iter("use"))]
        found = []
        for one in (one for group in groups for one in self.lines(group) if one.get("class") == "p"):
            # A row of single characters has a place for each.
            places = len(str(one.get("x")).split())
            assert places in (1, len(self.text(one)))
            found += list(self.text(one)) if places > 1 else [self.text(one)]
        return found

    def legend(self) -> set[str]:
        """The signs that the legend explains."""
        return {str(node.get("data-mark")) for node in self.main.iter("div") if node.get("data-mark")}

    def signs(self) -> set[str]:
        """The signs that stand on the changed keys of all pictures, found by how they look."""
        found: set[str] = set()
        groups = [
            node for node in self.main.iter("g") if any(path.get("class") == "hot" for path in node.findall("path"))
        ]
        for group in groups:
            found.add("changed")
            for line in self.lines(group):
                for class_, said in self.spans(line):
                    found |= _signs_of(set(class_.split()), said)
        return found

    def spans(self, line: Node) -> list[tuple[str, str]]:
        """The parts of a line: class and text, pieces of the same class beside each other as one."""
        if line.tag == "text" and line.get("class") is None:
            return [(one.get("class") or "", self.text(one)) for one in line]
        found: list[tuple[str, str]] = []
        for piece in line if line.tag == "g" else [line]:
            if piece.tag == "path":
                continue
            class_, said = piece.get("class") or "", self.text(piece)
            if found and found[-1][0] == class_:
                said = found.pop()[1] + said
            found.append((class_, said))
        return found

    def told(self) -> str:
        """The words that are the program's own: no names, legends or keys, and nothing for reviewers."""
        pieces: list[str] = []
        _collect(self.main, pieces)
        return " ".join(pieces)


def _tidied(line: str) -> str:
    """A line without the blank behind an arrow at its end."""
    return line.removesuffix(" ") if line.endswith(" → ") else line


def _signs_of(classes: set[str], said: str) -> set[str]:
    found = set()
    if "p" in classes:
        found.add("print")
    for class_, name in (("o", "old"), ("n", "new"), ("s", "named")):
        if class_ in classes:
            found.add(name)
    if classes & {"o", "n"}:
        bare = said.strip()
        signs = (
            (bare == "–", "nothing"),
            (len(bare) > 1 and bare.endswith("+"), "accent"),
            (bare == "␣", "space"),
            *((bare == name, name.lower()) for name in ("Enter", "Tab", "Backspace")),
            (bare in ("ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight"), "arrow"),
        )
        found |= {name for has, name in signs if has}
    if "…" in said and "p" not in classes:
        found.add("cut")
    if "h" in classes:
        words = said.split()
        if words[-1:] == ["more"]:
            found.add("more")
        else:
            found |= {"accent"} if words and words[0].endswith("+") and len(words[0]) > 1 else set()
            found |= (
                {"held"} if any(re.fullmatch(r"[\w+…]+", word) and not word.endswith("+") for word in words) else set()
            )
    return found


def _collect(node: Node, pieces: list[str]) -> None:
    """The texts of an element and those within it, in their order, without names, legends and samples."""
    if node.tag in ("b", "bdi", "kbd", "svg", "dt") or node.get("class") == "check":
        return
    pieces.append(node.text or "")
    for child in node:
        _collect(child, pieces)
        pieces.append(child.tail or "")
