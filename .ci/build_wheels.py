"""Build a wheel with the compiled kernel for each kind of machine, and look into each.

Run with:  python .ci/build_wheels.py FOLDER        (needs ziglang, hatchling and pip)

A wheel for another machine cannot be run here: that it holds libraries of the right format is looked at.
"""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent))
from hatch_build import TAGS

ROOT = Path(__file__).resolve().parents[1]
FORMATS = {b"\x7fELF": "linux", b"\xcf\xfa\xed\xfe": "macos", b"MZ": "windows"}
MACHINES = {  # where a format names its machine: offset and values
    "linux": (18, {0x3E: "x86_64", 0xB7: "aarch64"}),
    "macos": (4, {0x07: "x86_64", 0x0C: "aarch64"}),
}


def main() -> None:
    """Build and look."""
    folder = Path(sys.argv[1])
    pip = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check", "wheel"]
    for target, tag in TAGS.items():
        words = [*pip, "--no-deps", "--no-build-isolation", "--wheel-dir", str(folder), str(ROOT)]
        subprocess.run(words, check=True, env={**os.environ, "LIFECYCLE_BUILD_FOR": target})
        (wheel,) = folder.glob(f"*-{tag}.whl")
        with zipfile.ZipFile(wheel) as held:
            libraries = {name: held.read(name) for name in held.namelist() if "/kernel-" in name}
        wanted = (target.split("-")[0], target.split("-")[1].split(".")[0])
        for name, content in libraries.items():
            if kind_of(content) != wanted:
                raise SystemExit(f"{wheel.name}: {name} is for {kind_of(content)}")
        sizes = ", ".join(f"{name.rpartition('-')[2]} {len(c) // 1024} kB" for name, c in libraries.items())
        print(f"{wheel.name}: {wheel.stat().st_size // 1024} kB, libraries {sizes}")


def kind_of(library: bytes) -> tuple[str, str]:
    """Return the processor and the system that a library is for, by its first bytes."""
    system = next(name for mark, name in FORMATS.items() if library.startswith(mark))
    if system == "windows":
        header = int.from_bytes(library[0x3C:0x40], "little")
        machine = int.from_bytes(library[header + 4 : header + 6], "little")
        return {0x8664: "x86_64", 0xAA64: "aarch64"}[machine], system
    offset, machines = MACHINES[system]
    return machines[library[offset]], system


if __name__ == "__main__":
    main()
