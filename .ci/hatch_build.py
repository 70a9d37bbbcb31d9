"""Compile the kernel when the project is installed or a wheel is built; without a compiler, go on without.

A wheel carries the notebooks, and nothing that running them left in their folder.

An installation for development gets it beside its source, for exactly this processor. A wheel gets it for
any processor of its kind: this machine's, or the one that ``LIFECYCLE_BUILD_FOR`` names (`build_wheels`).
"""

from __future__ import annotations

import os
import runpy
import sysconfig
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

TAGS = {
    "x86_64-linux-gnu.2.17": "manylinux_2_17_x86_64",
    "aarch64-linux-gnu.2.17": "manylinux_2_17_aarch64",
    "x86_64-macos.11.0": "macosx_11_0_x86_64",
    "aarch64-macos.11.0": "macosx_11_0_arm64",
    "x86_64-windows-gnu": "win_amd64",
    "aarch64-windows-gnu": "win_arm64",
}
"""Kinds of machine as the cross compiler names them, and their tags of a wheel."""


class CompileKernel(BuildHookInterface):  # type: ignore[type-arg]
    """The step of the build."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Compile, and say what goes into the wheel."""
        room = Path(self.root) / "lifecycle" / "evaluation" / "compiled"
        build = runpy.run_path(str(room / "build.py"))["build"]
        if version == "editable":
            if not build(room, native=True):
                self.app.display_warning("no compiler: lifecycle will evaluate with numpy, more slowly")
            return
        for notebook in Path(self.root).glob("notebooks/*.ipynb"):
            build_data["force_include"][str(notebook)] = f"lifecycle/shipped/notebooks/{notebook.name}"
        target = os.environ.get("LIFECYCLE_BUILD_FOR")
        self.folder = tempfile.TemporaryDirectory()
        libraries = build(Path(self.folder.name), target)
        if target and not libraries:
            raise RuntimeError(f"the kernel was not compiled for {target}; ziglang does it")
        if libraries:
            tag = TAGS[target] if target else sysconfig.get_platform().replace("-", "_").replace(".", "_")
            build_data["tag"] = f"py3-none-{tag}"
            build_data["pure_python"] = False
        for library in libraries:
            build_data["force_include"][str(library)] = f"lifecycle/evaluation/compiled/{library.name}"

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        """Tidy up."""
        if version != "editable":
            self.folder.cleanup()
