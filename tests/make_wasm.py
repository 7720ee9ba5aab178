"""Compile the C runtime to WebAssembly for the page: matrixmap/emit/page/web/runtime.wasm.

Run it after a change of the runtime: python -m tests.make_wasm. With --check it writes nothing and exits with 1 if the
file was made from other sources. It needs clang and lld (the package `lld` of Debian).
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from hashlib import sha256
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1] / "matrixmap"
WEB = PACKAGE / "emit" / "page" / "web"
RUNTIME = PACKAGE / "runtime"
TARGET = WEB / "runtime.wasm"
SECTION = b"matrixmap.sources"

EXPORTS = (
    *(
        "page_init",
        "mm_usages",
        "mm_disconnected",
        "mm_advance",
        "mm_change_layout",
        "mm_select_mask",
        "mm_direct_mask",
    ),
    *("mm_leds", "mm_take_command", "mm_overflows", "mm_refusals", "mm_idle"),
    *("mm_controller", "mm_unplugged", "mm_pulls", "mm_clashes"),
    *("page_state", "page_down", "page_command", "page_free_table", "page_copy", "page_accent", "page_switches"),
)


def sources() -> tuple[Path, ...]:
    """Every file that the module is compiled from."""
    runtime = (RUNTIME / name for name in ("mm_config.h", "mm_runtime.h", "mm_runtime.c"))
    return (WEB / "page.c", WEB / "string.h", *runtime)


def source_hash() -> str:
    """SHA-256 of the sources, of their names and of the exports, in hexadecimal."""
    whole = sha256(" ".join(EXPORTS).encode())
    for path in sources():
        whole.update(f"\n{path.name}\n".encode() + path.read_bytes())
    return whole.hexdigest()


def carried_hash(module: bytes) -> str | None:
    """The hash that a module carries, which is its last section, or None."""
    found = module.rfind(SECTION)
    return module[found + len(SECTION) :].decode("ascii", "replace") if found >= 0 else None


def compile_module() -> bytes:
    """The module, with the hash of its sources in a custom section (WebAssembly Core Specification, section 5.5.3)."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "runtime.wasm"
        command = ["clang", "--target=wasm32", "-std=c99", "-Oz", "-ffreestanding", "-fno-builtin", "-nostdlib"]
        command += [
            "-Wall",
            "-Wextra",
            "-Wpedantic",
            "-Wconversion",
            "-Werror",
            "-DMM_SEQUENCES=1",
            "-DMM_RESUME=1",
            "-DMM_WHOLE=1",
            "-DMM_PADS=1",
            "-DMM_CONTROLLERS=8",
            "-DMM_CHECKSUM=0",  # the page changes the guard and the rollover in a table
            f"-I{WEB}",
            f"-I{RUNTIME}",
        ]
        command += ["-Wl,--no-entry", "-Wl,--strip-all", "-Wl,--gc-sections"]
        command += [f"-Wl,--export={name}" for name in EXPORTS]
        command += ["-o", str(out), *(str(path) for path in sources() if path.suffix == ".c")]
        subprocess.run(command, check=True)
        module = out.read_bytes()
    content = bytes([len(SECTION)]) + SECTION + source_hash().encode()
    assert len(content) < 0x80, "the length is one byte of LEB128"
    return module + bytes([0, len(content)]) + content


def main() -> int:
    """0 if the module is fresh or was written, 1 if it is stale."""
    if "--check" in sys.argv[1:]:
        fresh = TARGET.is_file() and carried_hash(TARGET.read_bytes()) == source_hash()
        print(f"{TARGET.name} is {'fresh' if fresh else 'stale; run python -m tests.make_wasm'}")
        return 0 if fresh else 1
    module = compile_module()
    TARGET.write_bytes(module)
    print(f"{TARGET.name} written, {len(module)} bytes")
    return 0


if __name__ == "__main__":
    sys.exit(main())
