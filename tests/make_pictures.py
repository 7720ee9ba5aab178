"""Make the pictures of the documentation: docs/img.

Run it after a change of what they show: python -m tests.make_pictures. With --check it writes nothing and exits with 1
if one is stale. The picture of the page needs Chromium; it carries the hash of the page that it shows, because another
version of the browser draws the same page in slightly other pixels.
"""

from __future__ import annotations

import struct
import sys
import tempfile
import zlib
from hashlib import sha256
from pathlib import Path

from matrixmap.emit.page.document import page_html
from matrixmap.emit.pictures.drawing import draw
from tests.browser import Browser
from tests.page.driving import Driver
from tests.project import ROOT, shipped_plan

FOLDER = ROOT / "docs" / "img"
DRAWING = FOLDER / "drawing.svg"
PAGE = FOLDER / "page.png"
DRAWN = "quillon8-de-DE-symbolic"
SHOWN = "quillon8-en-GB-symbolic"
KEYWORD = b"page-sha256"


def drawing() -> str:
    """The drawing of the demo."""
    return draw(shipped_plan(DRAWN))


def page() -> str:
    """The page that is photographed: one layout of the demo."""
    return page_html([shipped_plan(SHOWN)])


def page_hash() -> str:
    """SHA-256 of that page, in hexadecimal."""
    return sha256(page().encode("utf-8")).hexdigest()


def carried_hash(picture: bytes) -> str | None:
    """The hash in a PNG's text chunk (PNG, second edition, section 11.3.4.3), or None."""
    found = picture.find(b"tEXt" + KEYWORD + b"\0")
    start = found + 4 + len(KEYWORD) + 1
    return picture[start : start + 64].decode("ascii", "replace") if found >= 0 else None


def with_hash(picture: bytes, text: str) -> bytes:
    """The PNG with a text chunk before its end."""
    content = b"tEXt" + KEYWORD + b"\0" + text.encode("ascii")
    chunk = struct.pack(">I", len(content) - 4) + content + struct.pack(">I", zlib.crc32(content))
    end = picture.rindex(b"IEND") - 4
    return picture[:end] + chunk + picture[end:]


def photograph() -> bytes:
    """The page while somebody types: a text on the screen, Shift and 2 down."""
    with tempfile.TemporaryDirectory() as folder, Browser() as browser, browser.page(width=1366, height=768) as tab:
        file = Path(folder) / "page.html"
        file.write_text(page(), encoding="utf-8")
        driver = Driver(tab, file)
        tab.wait("document.querySelectorAll('#matrix-grid .point').length > 60")
        for code in ("KeyP", "KeyR", "KeyI", "KeyN", "KeyT", "Space"):
            tab.key("down", code)
            tab.key("up", code)
            driver.rest()
        for code in ("ShiftLeft", "Digit2"):
            tab.key("down", code)
        driver.rest()
        picture = Path(folder) / "page.png"
        tab.screenshot(picture, whole=False)
        return with_hash(picture.read_bytes(), page_hash())


def stale() -> list[str]:
    """The pictures that do not show what they should."""
    found = []
    if not DRAWING.is_file() or DRAWING.read_text(encoding="utf-8") != drawing():
        found.append(DRAWING.name)
    if not PAGE.is_file() or carried_hash(PAGE.read_bytes()) != page_hash():
        found.append(PAGE.name)
    return found


def main() -> int:
    """0 if the pictures are fresh or were written, 1 if one is stale."""
    if "--check" in sys.argv[1:]:
        for name in stale():
            print(f"docs/img/{name} is stale; run python -m tests.make_pictures")
        return 1 if stale() else 0
    FOLDER.mkdir(parents=True, exist_ok=True)
    DRAWING.write_text(drawing(), encoding="utf-8")
    PAGE.write_bytes(photograph())
    print(f"docs/img: {DRAWING.name} and {PAGE.name} written")
    return 0


if __name__ == "__main__":
    sys.exit(main())
