"""A grid past one sitting: in blocks, into a folder, by one process, several, or somebody's cluster.

Lecture
-------
A grid (`grid`) is cut into *blocks* of whole points, worth a second or two each, or so many more that there
are `MOST_PARTS` at most. A block carries all that it stands on and gives the bytes of its *part*, a file of
the tidy table in Parquet or CSV. Only the process that was started writes: each part whole or not at all
(`files.write`), named by the number of its block and a digest. The *manifest* beside them says what they
belong to: digest of the grid, version, form of the evaluation, size of a block. So

- what was killed goes on where it stopped: parts that are there are never made again, and blocks that were at
  work are made anew. As a row stands on its own point only, the bytes are those of a run that was never
  stopped, with any number of workers;
- a folder with the parts of another grid, version or form is refused.

A worker that dies takes the blocks that it had with it, and they are given out again; a block that outlives
`MOST_DEATHS` of them is an error that names it. A *cluster* is a scheduler at an address, and workers that
know it, each a Python with this library. Dask shows it as an executor of the standard library, so blocks are
shared out there as among processes, and gives those of a dead worker to the others. Blocks are made as they
are asked for, `AHEAD` for each worker, so that memory does not grow with the grid.

*The allocator.* Dask starts its workers with MALLOC_TRIM_THRESHOLD_ = 65,536 bytes: after each array that is
let go the memory is given back to the system and has to be fetched again, page by page. So each worker raises
both thresholds of glibc first (mallopt; `ROOMY`). Measured for a coach in 256 futures: the numpy form, which
works in arrays, took 3.0 s of the processor and 74,563 page faults without that, 2.1 s and 517 with it; the
compiled form 0.4 s either way.

Left out: starting a cluster; moving data between workers, for the parts are small. Floats of processors that
round otherwise: use machines of one kind where bytes must agree.
Source: thresholds as in the manual page mallopt(3), from memory.
"""

from __future__ import annotations

import ctypes
import gc
import hashlib
import io
import json
import logging
import math
import multiprocessing
import multiprocessing.connection
import os
import signal
import sys
import threading
from collections import Counter
from collections.abc import Callable, Collection, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, CancelledError, Executor, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, BinaryIO, Protocol, TypeVar

import lifecycle
from lifecycle.errors import ScenarioError, fault
from lifecycle.evaluation.compiled.library import form
from lifecycle.evaluation.threads import share
from lifecycle.files import load_text, opened, write
from lifecycle.quantities import Frame
from lifecycle.studies.futures import Progress
from lifecycle.studies.grid import Grid, Point, answered, digest_of, frame_of

MANIFEST = "_sweep.json"
"""Name of the manifest; readers of Parquet folders pass over names that begin so."""

FORMS = ("parquet", "csv")
"""Kinds of parts."""

MOST_PARTS = 4096
"""Parts at most, unless a block of one point is more."""

FUTURES_IN_BLOCK = 1024
"""Futures by years kept in a block: a second or two of work."""

AHEAD, MOST_DEATHS = 2, 3
"""Blocks given out for each worker; deaths of workers that a block outlives."""

ROOMY = 1 << 28
"""Thresholds of the allocator in workers. [bytes]"""

ANSWERS_WITHIN = 10.0
"""Time that a cluster has to answer. [s]"""

GOES_ON = "what is done stays, and the same command goes on"
"""What to do about a sweep that stopped."""

LARGEST_MANIFEST = 100_000
"""Size of the largest manifest. [bytes]"""


class Job(Protocol):
    """Some work that gives the bytes of a file, the same wherever it is done."""

    @property
    def number(self) -> int:
        """Its number among the others."""
        ...

    @property
    def named(self) -> str:
        """What it is called, where it fails."""
        ...

    @property
    def made_with(self) -> str:
        """Version, and form of the evaluation, that have to do it (`made_with`)."""
        ...

    def content(self) -> bytes:
        """Do it."""
        ...


AJob = TypeVar("AJob", bound=Job)


@dataclass(frozen=True)
class Block:
    """Some points of a grid, with all that they stand on.

    Parameters
    ----------
    number : int
        In order.
    whole : Grid
        Its scenarios and how they are answered; without the table of the rows.
    points : tuple of Point
        To be answered.
    kinds : mapping of str to str
        Columns and what they hold.
    made_with : str
        Version, and form of the evaluation, that have to answer.
    csv : bool
        Whether the part is CSV.
    """

    number: int
    whole: Grid
    points: tuple[Point, ...]
    kinds: Mapping[str, str]
    made_with: str
    csv: bool

    @property
    def named(self) -> str:
        """Name its part and its points."""
        return f"part {self.number}, points {self.points[0].number} to {self.points[-1].number}"

    def content(self) -> bytes:
        """Work its points out and return the bytes of its part."""
        rows = [row for point in self.points for row in answered(self.whole, point)]
        frame = frame_of(self.kinds, rows)
        if self.csv:
            return str(frame.to_csv(index=False, lineterminator="\n")).encode()
        buffer = io.BytesIO()
        frame.to_parquet(buffer, index=False, engine="pyarrow")
        return buffer.getvalue()


@dataclass(frozen=True)
class Folder:
    """Where a sweep goes: a folder with its manifest.

    Parameters
    ----------
    place : Path
        The folder.
    digest : str
        Of the grid.
    size : int
        Points in a block.
    points : int
        Points in all.
    csv : bool
        Whether parts are CSV.
    skipped : frozenset of int
        Points that are left out.
    """

    place: Path
    digest: str
    size: int
    points: int
    csv: bool = False
    skipped: frozenset[int] = frozenset()

    @property
    def blocks(self) -> int:
        """Number of blocks."""
        return math.ceil(self.points / self.size)

    def part(self, number: int) -> Path:
        """Return the place of a part."""
        own = hashlib.sha256(f"{self.digest}{number}".encode()).hexdigest()[:8]
        return self.place / f"part-{number:06d}-{own}.{'csv' if self.csv else 'parquet'}"

    def missing(self) -> list[int]:
        """Return the blocks whose part is not there yet."""
        return [number for number in range(self.blocks) if not self.part(number).exists()]

    def numbers(self, block: int) -> list[int]:
        """Return the points of a block."""
        all_of_it = range(block * self.size, min(self.points, (block + 1) * self.size))
        return [number for number in all_of_it if number not in self.skipped]

    def frames(self, kinds: Mapping[str, str]) -> Iterator[Frame]:
        """Read the parts that are there, one after the other."""
        import pandas

        for number in range(self.blocks):
            if self.part(number).exists():
                with opened(self.part(number)) as file:
                    try:
                        frame = _read_csv(file, kinds) if self.csv else pandas.read_parquet(file)
                        frame = frame[list(kinds)]
                    except (ValueError, KeyError, OSError):  # pyarrow's errors are among these
                        place, remedy = str(self.part(number)), "take it away: it is made anew"
                        raise fault(place, "must be a part as it was written", "", remedy) from None
                yield frame

    def table(self, kinds: Mapping[str, str]) -> Frame:
        """Read all parts at once."""
        import pandas

        return pandas.concat(self.frames(kinds), ignore_index=True)


def _read_csv(file: BinaryIO, kinds: Mapping[str, str]) -> Frame:
    """Read a part that is CSV, its numbers to the last bit."""
    import pandas

    frame = pandas.read_csv(file, dtype="str", keep_default_na=False)
    for name, kind in kinds.items():
        if kind == "bool":
            frame[name] = frame[name] == "True"
        elif kind != "str":
            frame[name] = frame[name].replace("", "nan").astype(kind)
    return frame


def size_of_block(whole: Grid) -> int:
    """Return how many points of a grid make a block; the same on every machine.

    Examples
    --------
    >>> from lifecycle.files import load
    >>> from lifecycle.studies.grid import grid
    >>> scenario = load("scenarios/worked-example-1.toml")
    >>> size_of_block(grid(scenario, {"existing.age": range(36, 48)}, draws=256))
    4
    >>> size_of_block(grid(scenario, {"owner.hour_value": range(100_000)}, draws=256))
    25
    """
    worth = FUTURES_IN_BLOCK // (whole.draws * max(1, len(whole.years)))
    return max(1, worth, math.ceil(len(whole) / MOST_PARTS))


def digest_of_grid(whole: Grid, skipped: Collection[int] = ()) -> str:
    """Return a digest of all that the rows of a grid stand on, version and form of the evaluation within."""
    scenarios = {name: digest_of(one, whole.draws, whole.seed) for name, one in whole.scenarios.items()}
    asked = (
        whole.over,
        whole.rows,
        whole.labels,
        whole.years,
        whole.draws,
        whole.seed,
        whole.ratios,
        sorted(skipped),
        tuple(whole.kinds),
    )
    return hashlib.sha256(repr((made_with(), scenarios, asked)).encode()).hexdigest()[:16]


def folder_of(whole: Grid, place: Path, *, csv: bool = False, skipped: Collection[int] = ()) -> Folder:
    """Take a folder for a grid: a new one, or one in which this very grid was begun.

    Points with faults are skipped; another choice of these is another sweep. Raises ScenarioError if the
    folder holds something else, or cannot be made.
    """
    digest = digest_of_grid(whole, skipped)
    folder = Folder(place, digest, size_of_block(whole), len(whole), csv, frozenset(skipped))
    says = {
        "schema": 1,
        "grid": folder.digest,
        "version": lifecycle.__version__,
        "evaluation": form(),
        "scenarios": {name: one.sha256 for name, one in whole.scenarios.items()},
        "varied": {name: len(values) for name, values in whole.over.items()},
        "rows": len(whole.rows),
        "years": list(whole.years),
        "points": len(whole),
        "skipped": sorted(skipped),
        "points_in_a_part": folder.size,
        "draws": whole.draws,
        "seed": whole.seed,
        "form": FORMS[csv],
    }
    manifest = place / MANIFEST
    if manifest.exists():
        _check_same(_said(manifest), says, manifest)
    elif place.is_dir() and any(not one.name.startswith(".") for one in place.iterdir()):
        raise fault(str(place), "holds something else, and no sweep", "", "name a new folder")
    else:
        with made_folder(place):
            place.mkdir(exist_ok=True)
        write(manifest, (json.dumps(says, indent=1) + "\n").encode())
    return folder


def _said(manifest: Path) -> dict[str, Any]:
    """Read a manifest."""
    try:
        found = json.loads(load_text(manifest, largest=LARGEST_MANIFEST))
    except ValueError:
        found = None
    if not isinstance(found, dict):
        raise fault(str(manifest), "must be the manifest of a sweep", "", "name a new folder")
    return found


def _check_same(there: Mapping[str, Any], says: Mapping[str, Any], manifest: Path) -> None:
    """Refuse the folder of another sweep, and say in what it is another."""
    other = sorted((name for name in says if there.get(name) != says[name]), key=lambda name: name == "grid")
    if other:
        got = ", ".join(f"{name} {there.get(name)!s:.40} instead of {says[name]!s:.40}" for name in other[:3])
        rule = "is of another sweep: nothing is mixed"
        raise fault(str(manifest.parent), rule, got, "name a new folder, or ask what that one asks")


@contextmanager
def made_folder(place: Path) -> Iterator[None]:
    """Turn what the system says of a folder that cannot be made into one message."""
    try:
        yield
    except OSError as error:
        rule = f"cannot be made: {(error.strerror or str(error)).lower()}"
        raise fault(str(place), rule, "", "name a folder in one that exists") from None


def block_of(whole: Grid, folder: Folder, number: int) -> Block:
    """Return a block by its number, with all that it stands on."""
    points = tuple(whole.point(one) for one in folder.numbers(number))
    bare = replace(whole, over={}, rows=({},), labels=())
    return Block(number, bare, points, whole.kinds, made_with(), folder.csv)


def part_of(job: Job) -> bytes:
    """Do a job, a block of a sweep or a region, as a worker does. The bytes are the same everywhere.

    Raises OtherVersion if another version, or form of the evaluation, answers here.
    """
    if made_with() != job.made_with:
        raise OtherVersion(f"{made_with()} on a worker, {job.made_with} here")
    roomy()
    return job.content()


class OtherVersion(RuntimeError):
    """A worker has another version, or form of the evaluation: the bytes would be others."""


def made_with() -> str:
    """Return version and form of the evaluation, as ``"0.2.0 compiled, AVX2, gcc"``."""
    return f"{lifecycle.__version__} {form()}"


@cache
def roomy() -> bool:
    """Let the allocator keep memory that arrays give back; whether it could be told to."""
    if not sys.platform.startswith("linux"):
        return False
    trim, mapped = -1, -3  # M_TRIM_THRESHOLD, M_MMAP_THRESHOLD
    try:
        told = ctypes.CDLL(None).mallopt
    except (OSError, AttributeError):  # another C library
        return False
    return bool(told(trim, ROOMY)) and bool(told(mapped, ROOMY))


def run(
    whole: Grid,
    folder: Folder,
    *,
    workers: int = 1,
    cluster: str = "",
    progress: Progress | None = None,
) -> None:
    """Work out what is missing in a folder, by this process, several, or a cluster.

    Parameters
    ----------
    whole, folder : Grid, Folder
        All of it, and what `folder_of` gave.
    workers : int
        Processes on this machine; 1: this one.
    cluster : str
        Address of the scheduler of a Dask cluster that takes the work instead; "": none.
    progress : callable or None
        Called with points done and to be done in this run; may raise.

    Raises
    ------
    ScenarioError
        If the cluster does not answer or goes away, or a block outlives no worker.
    """
    missing = folder.missing()
    tell, done = progress or (lambda done, whole: None), 0
    to_do = sum(len(folder.numbers(number)) for number in missing)
    tell(0, to_do)
    blocks = (block_of(whole, folder, number) for number in missing)
    for block, content in shared_out(blocks, len(missing), workers=workers, cluster=cluster):
        write(folder.part(block.number), content)
        done += len(block.points)
        tell(done, to_do)


def shared_out(
    jobs: Iterator[AJob], number: int, *, workers: int = 1, cluster: str = ""
) -> Iterator[tuple[AJob, bytes]]:
    """Do jobs here, in processes or on a cluster (as `run`), and give each with its bytes when done.

    Jobs are made as they are asked for; they come back in any order.
    """
    if cluster:
        with _on_cluster(cluster) as (executor, width):
            yield from _given_out(jobs, lambda: executor, width)
    elif workers > 1 and number > 1:
        spawn = multiprocessing.get_context("spawn")  # a fork would copy the threads that wait and draw
        pools: list[ProcessPoolExecutor] = []

        def pool() -> ProcessPoolExecutor:
            width = min(workers, number)
            begun = ProcessPoolExecutor(width, mp_context=spawn, initializer=as_worker, initargs=(width,))
            pools.append(begun)
            return pools[-1]

        try:
            yield from _given_out(jobs, pool, workers)
        finally:
            for one in pools:
                one.shutdown(wait=False, cancel_futures=True)
    else:
        yield from ((job, part_of(job)) for job in jobs)


def _given_out(
    jobs: Iterator[AJob], start: Callable[[], Executor], width: int
) -> Iterator[tuple[AJob, bytes]]:
    """Give jobs out, a few for each worker, and again where a worker died."""
    executor, again = start(), list[AJob]()
    given: dict[Future[bytes], AJob] = {}
    deaths: Counter[int] = Counter()
    while True:
        broken = False
        while not broken and len(given) < AHEAD * width:
            job = again.pop(0) if again else next(jobs, None)
            if job is None:
                break
            try:
                given[executor.submit(part_of, job)] = job
            except BrokenProcessPool:
                again.append(job)
                broken = True
        if not given and not broken:
            return
        for future in wait(given, return_when=FIRST_COMPLETED).done if given else ():
            job = given.pop(future)
            try:
                content = future.result()
            except BrokenProcessPool:
                given[future], broken = job, True
                continue
            yield job, content
        if broken:  # the pool is gone with the worker, and all that it had
            deaths.update(job.number for job in given.values())
            for job in given.values():
                if deaths[job.number] > MOST_DEATHS:
                    rule = f"ended {MOST_DEATHS} workers that worked it out"
                    remedy = f"give it more memory, or take fewer --draws; {GOES_ON}"
                    raise fault(job.named, rule, "", remedy)
            again += given.values()
            given.clear()
            executor = start()


def as_worker(processes: int = 1) -> None:
    """Leave Ctrl-C to whoever started this process, end with it even if it is killed; share the cores."""
    share(processes)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()

    def watch() -> None:
        multiprocessing.connection.wait([parent.sentinel])  # type: ignore[union-attr]
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


@contextmanager
def _on_cluster(address: str) -> Iterator[tuple[Executor, int]]:
    """Reach a cluster and say its troubles in one message; give its executor, and the threads it has."""
    try:
        import distributed
        from distributed.comm.core import CommClosedError
    except ImportError:
        raise _trouble("needs Dask", "", "python -m pip install -e '.[scale]'") from None
    logging.getLogger("distributed").setLevel(logging.CRITICAL)  # what is wrong is said here, once
    reach: Any = distributed.Client
    gc.collect()  # a client that found no cluster ends now: while the next one starts, its end waits for ever
    try:
        client = reach(address, timeout=ANSWERS_WITHIN, set_as_default=False)
    except (OSError, TimeoutError, ValueError, ImportError) as error:
        got = f"{address}: {str(error).splitlines()[0] if str(error) else type(error).__name__}"
        rule = f"must be a Dask scheduler that answers within {ANSWERS_WITHIN:.0f} seconds"
        raise _trouble(rule, got, "start it with: dask scheduler --host 127.0.0.1 --port 8786") from None
    try:
        client.wait_for_workers(1, timeout=ANSWERS_WITHIN)
        width = sum(client.nthreads().values())
        yield client.get_executor(pure=False), width
    except TimeoutError:
        raise _trouble("has no worker", address, f"start one with: dask worker {address}") from None
    except distributed.KilledWorker as error:
        raise _trouble("ended every worker that took a part", str(error)[:200], GOES_ON) from None
    except (OtherVersion, ModuleNotFoundError) as error:
        rule = "must have this very version, compiled alike, on every worker"
        remedy = "install it there as here, for processors of one kind, and start the workers anew"
        raise _trouble(rule, str(error), remedy) from None
    except (CancelledError, CommClosedError, OSError) as error:
        raise _trouble("went away", f"{address} {type(error).__name__}", GOES_ON) from None
    finally:
        client.close(timeout=1.0)


def _trouble(rule: str, got: str, remedy: str) -> ScenarioError:
    """Return the error of a cluster."""
    return fault("--cluster", rule, got, remedy)
