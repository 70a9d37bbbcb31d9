"""How long a sweep of many coaches takes, in what memory; that a kill, workers, a cluster change no byte.

    python tests/benchmarks/benchmark_sweep.py --coaches 10000 --draws 256 --cluster    (all of it: hours)
    python tests/benchmarks/benchmark_sweep.py                                          (500 coaches)

The stock is invented: ages, lengths, places and years of sale are drawn by a seed. It is swept by one
process, by two, by two that are killed half way and go on, and, with --cluster, by a Dask scheduler and two
workers on loopback of which one is killed. Printed are time on the clock, time of the processors, the largest
memory of any one process so far, size and digest of the parts.
"""

from __future__ import annotations

import argparse
import csv
import hashlib
import os
import random
import resource
import signal
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

BASE = "scenarios/fleets/rental-motorhomes.toml"


def stock(place: Path, coaches: int) -> None:
    """Write an invented stock of coaches."""
    chance = random.Random(1)
    with place.open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file)
        out.writerow(
            ["coach", "existing.age", "existing.seal_age", "coach.length", "place", "owner.holding_period"]
        )
        for number in range(coaches):
            age = chance.randrange(6, 130)
            out.writerow(
                [
                    f"C{number:05d}",
                    age,
                    chance.randrange(1, age + 1),
                    chance.randrange(20, 36),
                    chance.choice(("Miami", "Houston", "Atlanta", "Phoenix", "Denver", "Seattle", "Duluth")),
                    chance.randrange(2, 13),
                ]
            )


def command(table: Path, folder: Path, draws: int, *more: str) -> list[str]:
    """Return the command that sweeps the stock."""
    words = ["-m", "lifecycle", "sweep", BASE, "--coaches", str(table), "--to", str(folder), "--yes"]
    return [sys.executable, *words, "--draws", str(draws), "--json", *more]


def digest(folder: Path) -> str:
    """Return a digest of all parts."""
    parts = sorted(folder.glob("part-*"))
    return hashlib.sha256(b"".join(one.name.encode() + one.read_bytes() for one in parts)).hexdigest()[:16]


def timed(what: str, words: list[str], folder: Path) -> None:
    """Run a command to its end and print what it took."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(words, check=True, stdout=subprocess.DEVNULL)
    seconds = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    processor = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    size = sum(one.stat().st_size for one in folder.glob("part-*"))
    print(
        f"{what:44s} {seconds:9.1f} s on the clock {processor:9.1f} s of processors "
        f"{after.ru_maxrss / 1e3:7.0f} MB at most so far {size / 1e6:6.1f} MB {digest(folder)}",
        flush=True,
    )


def killed_half_way(words: list[str], folder: Path, parts: int) -> None:
    """Start a command and kill it when half of its parts are there."""
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    while len(list(folder.glob("part-*"))) < parts // 2:
        time.sleep(0.2)
    process.send_signal(signal.SIGKILL)
    process.wait()
    print(f"killed with {len(list(folder.glob('part-*')))} of {parts} parts there", flush=True)


def cluster(folder: Path) -> tuple[str, list[subprocess.Popen[bytes]]]:
    """Start a Dask scheduler and two workers on loopback; return address and processes."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    address = f"tcp://127.0.0.1:{port}"
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    here = {**os.environ, "PYTHONPATH": os.getcwd()}
    scheduler = ["-m", "distributed.cli.dask_scheduler", "--host", "127.0.0.1", "--port", str(port)]
    worker = ["-m", "distributed.cli.dask_worker", address, "--nthreads", "1", "--no-nanny"]
    started = [
        subprocess.Popen([sys.executable, *words, "--no-dashboard"], env=here, cwd=folder, **quiet)
        for words in (scheduler, worker, worker)
    ]
    return address, started


def main() -> None:
    """Sweep the stock in each way and print a line for each."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("--coaches", type=int, default=500)
    options.add_argument("--draws", type=int, default=256)
    options.add_argument(
        "--cluster", action="store_true", help="a Dask cluster of two workers, one killed, too"
    )
    asked = options.parse_args()
    with tempfile.TemporaryDirectory() as own:
        here = Path(own)
        table = here / "stock.csv"
        stock(table, asked.coaches)
        print(f"{asked.coaches:,} coaches x {asked.draws} futures, load {os.getloadavg()[0]:.1f}", flush=True)
        one = here / "one"
        timed("one process", command(table, one, asked.draws), one)
        parts = len(list(one.glob("part-*")))
        two = here / "two"
        timed("two processes", command(table, two, asked.draws, "--workers", "2"), two)
        half = here / "half"
        words = command(table, half, asked.draws, "--workers", "2")
        killed_half_way(words, half, parts)
        timed("two processes, the rest after the kill", words, half)
        found = {digest(one), digest(two), digest(half)}
        if asked.cluster:
            address, processes = cluster(here)
            try:
                far = here / "far"
                words = command(table, far, asked.draws, "--cluster", address)
                run = subprocess.Popen(words, stdout=subprocess.DEVNULL)
                start = time.perf_counter()
                while len(list(far.glob("part-*"))) < parts // 3:
                    time.sleep(0.2)
                processes[1].kill()
                print(f"cluster: one of two workers killed; status {run.wait()}", end=" ")
                print(f"{time.perf_counter() - start:.1f} s on the clock {digest(far)}", flush=True)
                found.add(digest(far))
            finally:
                for process in processes:
                    process.kill()
        print("the same bytes every time" if len(found) == 1 else f"DIFFERENT BYTES: {found}", flush=True)
        sys.exit(len(found) != 1)


if __name__ == "__main__":
    main()
