"""Run the compiled evaluation over random cases under the address and undefined-behaviour sanitizers.

Run with:  python .ci/sanitize.py [CASES]        (needs gcc)

The first write or read outside its place, or the first undefined operation, ends the run with an error.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
CHECKS = ("-fsanitize=address,undefined", "-fno-sanitize-recover=all", "-g", "-O1")


def main() -> None:
    """Compile, and run again under the sanitizers."""
    sys.path.insert(0, str(ROOT))
    if "CHECKED_KERNEL" in os.environ:
        run(Path(os.environ["CHECKED_KERNEL"]), int(sys.argv[1]))
        return
    from lifecycle.evaluation.compiled.build import compile_to

    cases = sys.argv[1] if len(sys.argv) > 1 else "200"
    with tempfile.TemporaryDirectory() as folder:
        library = Path(folder) / "kernel.so"
        if not compile_to(["gcc"], [*CHECKS, "-march=native"], library):
            raise SystemExit("gcc cannot build the kernel with sanitizers here")
        names = ("libasan.so", "libubsan.so")
        paths = [
            subprocess.check_output(["gcc", f"-print-file-name={name}"], text=True).strip() for name in names
        ]
        environment = {
            **os.environ,
            "CHECKED_KERNEL": str(library),
            "LD_PRELOAD": " ".join(paths),
            "ASAN_OPTIONS": "detect_leaks=0",  # of the interpreter
            "PYTHONMALLOC": "malloc",  # so that arrays of the caller are watched as well
        }
        raise SystemExit(subprocess.run([sys.executable, __file__, cases], env=environment).returncode)


def run(path: Path, cases: int) -> None:
    """Evaluate random cases, one draw and several, totals and categories, with lines kept apart or not."""
    from lifecycle.evaluation.compiled.calling import evaluate_compiled
    from lifecycle.evaluation.compiled.library import load
    from tests.agreement.random_cases import random_case
    from tests.agreement.test_compiled import spread

    library = load(path)
    for seed in range(cases):
        case = random_case(seed)
        for one, draws in ((case, 1), (spread(case, 11, seed), 11)):
            for totals_only in (False, True):
                for apart in ((), ("upkeep", "hours", "days")):
                    asked = {"totals_only": totals_only, "apart": apart}
                    evaluate_compiled(one, draws, library, workers=1, **asked)
    print(f"{cases} random cases, 1 and 11 draws, totals and categories: nothing found")


if __name__ == "__main__":
    main()
