"""Runs apt-get and waits while another process uses the package manager: python3 tests/apt.py -qq update.

`DPkg::Lock::Timeout` of apt covers the locks of dpkg, and neither that of the lists of packages, which `update` takes, nor
that of the archives (seen with apt 2.6.1), so that the whole call is made again. It needs Python's own library only.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import time
from collections.abc import Callable, Sequence

WAIT = 300.0
"""Seconds until the call is given up: an upgrade of all packages in the background takes minutes."""
PAUSE = 2.0

LOCKED = re.compile(
    r"^E: (Could not get lock .*|Unable to acquire the dpkg frontend lock.*|Unable to lock .*)$", re.MULTILINE
)
"""What apt says in English where a lock is held by another process; the first of these lines names the process."""


def _print_error(line: str) -> None:
    print(line, file=sys.stderr, flush=True)


def apt_get(
    words: Sequence[str], wait: float = WAIT, pause: float = PAUSE, tell: Callable[[str], None] = _print_error
) -> subprocess.CompletedProcess[str]:
    """The outcome of apt-get with these words, once no lock is in its way or the time is over; it tells that it waits."""
    command = ["apt-get", *words]
    # The messages are looked into, so they must be in English.
    env = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "LC_ALL": "C"}
    end = time.monotonic() + wait
    told = False
    while True:
        done = subprocess.run(
            command, env=env, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False, errors="replace"
        )
        held = LOCKED.search(done.stderr) if done.returncode != 0 else None
        if held is None or time.monotonic() >= end:
            return done
        if not told:
            tell(f"the package manager is busy; waiting up to {wait:.0f} s for it ({held[1].rstrip('.')})")
            told = True
        time.sleep(pause)


if __name__ == "__main__":
    outcome = apt_get(sys.argv[1:])
    sys.stderr.write(outcome.stderr)
    sys.exit(outcome.returncode)
