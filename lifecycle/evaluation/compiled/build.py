"""Compile the kernel with the machine's compiler; also run at installation.

Lecture
-------
`kernel.c` and its parts need nothing but a C compiler, and become one shared library without any tie to
a version of Python. Its file name carries a digest of the source, so that a library of another source is
not found rather than believed. For the machine that compiles it is built for exactly its processor; for
wheels, which may go anywhere, twice on x86-64: for any, and for those with AVX2. No option trades
exactness for speed: sums are taken in the order in which they are written.

Without a compiler nothing is built, and the numpy form answers. Nothing is compiled behind a user's
back at first use: it would hide a broken installation, and two processes would race for one file.

Only the standard library is used here, for the room is not installed yet when this runs.

Run with:  python -m lifecycle.evaluation.compiled.build
"""

from __future__ import annotations

import hashlib
import os
import platform
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

ROOM = Path(__file__).resolve().parent
SOURCE = ROOM / "kernel.c"
OPTIONS = ("-std=gnu11", "-O3", "-fno-math-errno", "-Wno-psabi")
FOR_AVX2 = ("-mavx2", "-mfma")
CALLED = ("lifecycle_expect", "lifecycle_recall", "lifecycle_layout", "lifecycle_lanes", "malloc", "free")
FOR_BROWSERS = ("-msimd128", "-mexec-model=reactor", "-s", *(f"-Wl,--export={name}" for name in CALLED))
CROSS_COMPILER = [sys.executable, "-m", "ziglang", "cc"]
"""A compiler for every kind of machine, from the package index; used where it is installed."""

FOR_ANY = ("-mcpu=baseline",)
"""What the cross compiler is told where it must not take this very processor for the kind of machine."""


def library_name(kind: str = "", *, windows: bool = sys.platform == "win32") -> str:
    """Return the file name of a library of the present source.

    Parameters
    ----------
    kind : str
        Empty, or ``"avx2"``.
    windows : bool
        Whether it is for Windows.
    """
    return f"kernel-{source_digest()}{f'-{kind}' if kind else ''}.{'dll' if windows else 'so'}"


def source_digest() -> str:
    """Return a digest of the present source, 12 hexadecimal digits."""
    parts = (path.read_bytes() for path in sorted([SOURCE, *ROOM.glob("*.h")]))
    return hashlib.sha256(b"".join(parts)).hexdigest()[:12]


def browser_kernel() -> bytes | None:
    """Return the kernel in the form that browsers run, compiled now unless it lies beside its source.

    Returns
    -------
    bytes or None
        None if no compiler here can.
    """
    import tempfile

    place = ROOM / f"kernel-{source_digest()}.wasm"
    if place.exists():
        return place.read_bytes()
    with tempfile.TemporaryDirectory() as folder:
        made = Path(folder) / place.name
        for compiler in (CROSS_COMPILER, ["clang"]):
            if compile_to([*compiler, "--target=wasm32-wasi"], FOR_BROWSERS, made):
                content = made.read_bytes()
                with suppress(OSError):  # a folder that nobody may write to: compiled again the next time
                    place.write_bytes(content)
                return content
    return None


def build(folder: Path, target: str | None = None, *, native: bool = False) -> list[Path]:
    """Compile the kernel.

    Parameters
    ----------
    folder : Path
        Where the libraries go; older ones there go away.
    target : str or None
        Another kind of machine, as the cross compiler names it; None: this one.
    native : bool
        Whether for exactly this processor; else for any of its kind.

    Returns
    -------
    list of Path
        The libraries; empty if no compiler here can.
    """
    intel = (target or platform.machine()).lower().startswith(("x86_64", "amd64"))
    kinds: dict[str, Sequence[str]] = {"": ("-march=native",)} if native else {"": ()}
    if intel and not native:
        kinds["avx2"] = FOR_AVX2
    windows = "windows" in target if target else sys.platform == "win32"
    for compiler in compilers() if target is None else [[*CROSS_COMPILER, "-target", target, "-s"]]:
        libraries = {kind: folder / library_name(kind, windows=windows) for kind in kinds}
        more = FOR_ANY if compiler == CROSS_COMPILER and not native else ()
        if all(compile_to(compiler, [*more, *kinds[kind]], path) for kind, path in libraries.items()):
            for old in set(folder.glob("kernel-*")) - set(libraries.values()):
                if old.suffix not in (".part", ".wasm"):  # another process may be at work
                    old.unlink(missing_ok=True)
            return list(libraries.values())
    return build(folder) if native else []  # a compiler may not know this processor


def compilers() -> list[list[str]]:
    """Return the compilers that this machine may have, best first."""
    import shutil

    named = [os.environ["CC"].split()] if os.environ.get("CC") else []
    usual = [] if sys.platform == "win32" else [["cc"], ["gcc"], ["clang"]]
    found = [command for command in (*named, *usual) if shutil.which(command[0])]
    return [*found, CROSS_COMPILER]


def compile_to(compiler: Sequence[str], options: Sequence[str], to: Path) -> bool:
    """Compile one library; it is put in place whole, so that another process finds it or does not."""
    import subprocess

    being_built = to.with_name(f"{to.name}.{os.getpid()}.part")
    kinds = {".dll": ("-shared",), ".wasm": ()}
    system = kinds.get(to.suffix, ("-shared", "-fPIC", "-lm"))
    command = [*compiler, *OPTIONS, *options, str(SOURCE), "-o", str(being_built), *system]
    try:
        done = subprocess.run(command, capture_output=True, check=False)
    except OSError:  # there is no such compiler
        return False
    if done.returncode == 0:
        being_built.replace(to)
    being_built.unlink(missing_ok=True)
    return done.returncode == 0


if __name__ == "__main__":
    libraries = build(ROOM, native=True)
    sys.stdout.write("".join(f"{path}\n" for path in libraries) or "no compiler here can build the kernel\n")
    sys.exit(0 if libraries else 1)
