"""What AltGr may not do on the keypad, as the commands say it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.project import call, write_project


@pytest.mark.parametrize("words", [("show", "board"), ("howto", "board", "u"), ("check", "board"), ("build", "board")])
def test_a_line_for_altgr_on_the_keypad_is_refused(words: tuple[str, ...], tmp_path: Path) -> None:
    """No command shows a way to type that never happens: the line is named with its place and a remedy."""
    text = "layout: board\nmachine: quillon8\nhost: de-DE\njoin: positional\nkeys:\n  AltGr+Numpad8: u\n"
    done = call(*words, cwd=write_project(tmp_path, {"layouts/board.yaml": text}))
    assert done.returncode == 2
    told = done.stdout + done.stderr
    assert "layouts/board.yaml:6:3: bad-trigger: AltGr+Numpad8 never happens" in told
    assert "write Numpad8, or another modifier such as Alt+Numpad8" in told
    assert not (tmp_path / "generated").exists()
