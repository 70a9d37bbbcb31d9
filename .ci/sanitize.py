"""Run the compiled evaluation over random cases under the address and undefined-behaviour sanitizers.

Run with:  python .ci/sanitize.py [CASES]        (needs gcc)

For this very processor, and for each older kind that the kernel is compiled for: they take other numbers of
draws at once. The first write or read outside its place, or the first undefined operation, ends the run with
an error.
"""

from __future__ import annotations

import os
import platform
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from lifecycle.evaluation.compiled.build import FOR_AVX2, compile_to

KINDS = [("-march=native",)]
if platform.machine().lower() in ("x86_64", "amd64"):
    KINDS += [FOR_AVX2, ("-march=x86-64",)]
CHECKS = ("-fsanitize=address,undefined", "-fno-sanitize-recover=all", "-g", "-O1")


def main() -> None:
    """Compile, and run again under the sanitizers."""
    if "CHECKED_KERNEL" in os.environ:
        run(Path(os.environ["CHECKED_KERNEL"]), int(sys.argv[1]))
        return
    cases = sys.argv[1] if len(sys.argv) > 1 else "200"
    paths = [
        subprocess.check_output(["gcc", f"-print-file-name={name}"], text=True).strip()
        for name in ("libasan.so", "libubsan.so")
    ]
    environment = {
        **os.environ,
        "LD_PRELOAD": " ".join(paths),
        "ASAN_OPTIONS": "detect_leaks=0",  # of the interpreter
        "PYTHONMALLOC": "malloc",  # so that arrays of the caller are watched as well
    }
    with tempfile.TemporaryDirectory() as folder:
        for number, options in enumerate(KINDS):
            library = Path(folder) / f"kernel-{number}.so"
            if not compile_to(["gcc"], [*CHECKS, *options], library):
                raise SystemExit(f"gcc cannot build the kernel with sanitizers and {' '.join(options)} here")
            print(" ".join(options), end=": ", flush=True)
            words = [sys.executable, __file__, cases]
            environment["CHECKED_KERNEL"] = str(library)
            if failed := subprocess.run(words, env=environment).returncode:
                raise SystemExit(failed)


def run(path: Path, cases: int) -> None:
    """Evaluate random cases, one draw and several, totals and categories, with lines kept apart or not."""
    from lifecycle.evaluation.compiled.calling import evaluate_compiled, recall_compiled
    from lifecycle.evaluation.compiled.library import load
    from tests.agreement.random_cases import random_case
    from tests.agreement.test_compiled import spread

    library = load(path)
    if not library.functions.lifecycle_runs():
        print(f"{library.instructions}: left out, this processor does not run it")
        return
    for seed in range(cases):
        case = random_case(seed)
        for one, draws in ((case, 1), (spread(case, 11, seed), 11)):
            for totals_only in (False, True):
                for apart in ((), ("upkeep", "hours", "days")):
                    asked = {"totals_only": totals_only, "apart": apart}
                    evaluate_compiled(one, draws, library, workers=1, **asked)
            recall_compiled(one, draws, library)
    said = f"{library.instructions}, {library.lanes} draws at once"
    print(f"{said}: {cases} random cases, 1 and 11 draws, totals and categories, the past: nothing found")


if __name__ == "__main__":
    main()
