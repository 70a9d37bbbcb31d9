"""A sweep goes on after a kill with the same bytes, whoever works it out; no two sweeps are mixed."""

import json
import multiprocessing
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from pathlib import Path

import pandas
import psutil
import pytest

from lifecycle.cli import main
from lifecycle.errors import ScenarioError
from lifecycle.evaluation.compiled import library
from lifecycle.evaluation.threads import share, threads
from lifecycle.files import load
from lifecycle.studies import sweeping
from lifecycle.studies.grid import grid
from lifecycle.studies.grid import sweep as swept
from lifecycle.studies.sweeping import MANIFEST, Folder, folder_of, run

pytest.importorskip("pyarrow")

FILE = "scenarios/worked-example-1.toml"
COAST = "scenarios/humid-coast-motorhome.toml"


class Stopped(Exception):
    """Whoever hears how far it is wants no more."""


def whole():
    """Twelve quick points, a block each."""
    return grid(load(FILE), {"existing.age": range(36, 60, 2)}, draws=1024)


def contents(folder: Folder) -> dict[str, bytes]:
    """Return the bytes of every part by name."""
    return {one.name: one.read_bytes() for one in sorted(folder.place.glob("part-*"))}


@pytest.fixture(scope="module")
def unbroken(tmp_path_factory) -> dict[str, bytes]:
    """Return the parts of a sweep that one process worked out without a stop."""
    folder = folder_of(whole(), tmp_path_factory.mktemp("sweep") / "unbroken")
    run(whole(), folder)
    return contents(folder)


def test_the_table_is_that_of_the_library(tmp_path, unbroken):
    folder = folder_of(whole(), tmp_path / "again")
    for name, content in unbroken.items():
        (folder.place / name).write_bytes(content)
    assert folder.missing() == []
    table = pandas.read_parquet(folder.place)
    pandas.testing.assert_frame_equal(
        table, swept(load(FILE), {"existing.age": range(36, 60, 2)}).to_frame(), check_exact=True
    )


def test_a_run_that_was_stopped_goes_on_with_the_same_bytes(tmp_path, unbroken):
    folder = folder_of(whole(), tmp_path / "stopped")

    def told(done, to_do):
        if done == 5:
            raise Stopped

    with pytest.raises(Stopped):
        run(whole(), folder, progress=told)
    there = contents(folder)
    assert 0 < len(there) < len(unbroken)
    again = folder_of(whole(), tmp_path / "stopped")
    heard = []
    run(whole(), again, progress=lambda done, to_do: heard.append((done, to_do)))
    assert heard[0] == (0, 12 - len(there)), "nothing is done twice"
    assert contents(again) == unbroken


def test_a_worker_that_is_killed_takes_nothing_with_it(tmp_path, unbroken):
    folder = folder_of(whole(), tmp_path / "killed")
    killed = []

    def kill(done, _):
        if done and not killed:
            worker = next(
                one for one in psutil.Process().children() if "spawn_main" in " ".join(one.cmdline())
            )
            worker.kill()
            killed.append(worker.pid)

    run(whole(), folder, workers=2, progress=kill)
    assert killed
    assert contents(folder) == unbroken


def test_a_block_that_ends_every_worker_is_named(tmp_path, monkeypatch):
    from concurrent.futures import Future
    from concurrent.futures.process import BrokenProcessPool

    class Dead:
        """An executor whose workers die of everything."""

        def submit(self, *_):
            future: Future[bytes] = Future()
            future.set_exception(BrokenProcessPool())
            return future

    folder = folder_of(whole(), tmp_path / "deadly")
    blocks = (sweeping.block_of(whole(), folder, number) for number in folder.missing())
    with pytest.raises(ScenarioError, match=r"points (0 to 0|1 to 1) ended 3 workers"):
        list(sweeping._given_out(blocks, Dead, 1))


def test_csv_holds_the_very_numbers(tmp_path, unbroken):
    folder = folder_of(whole(), tmp_path / "csv", csv=True)
    run(whole(), folder)
    read = folder.table(whole().kinds)
    table = swept(load(FILE), {"existing.age": range(36, 60, 2)}).to_frame()
    pandas.testing.assert_frame_equal(read, table, check_exact=True)
    assert read.cost.tolist() == table.cost.tolist()


@pytest.mark.parametrize("csv", [False, True])
@pytest.mark.parametrize("content", [b"", b"PAR1 and nothing", b"point,cost\n0,1\n", b"\x00\xff"])
def test_a_part_that_was_spoilt_is_one_message(tmp_path, content, csv):
    folder = folder_of(whole(), tmp_path / "spoilt", csv=csv)
    folder.part(3).write_bytes(content)
    with pytest.raises(ScenarioError, match="take it away"):
        list(folder.frames(whole().kinds))


@pytest.mark.parametrize(
    "other",
    [
        lambda: grid(load(FILE), {"existing.age": range(36, 60, 2)}, draws=512),
        lambda: grid(load(FILE), {"existing.age": range(36, 60, 2)}, draws=1024, seed=2),
        lambda: grid(load(FILE), {"existing.age": range(36, 62, 2)}, draws=1024),
        lambda: grid(load(FILE), {"existing.age": range(36, 60, 2)}, draws=1024, years=[8]),
        lambda: grid(load(FILE), {"existing.seal_age": range(2, 26, 2)}, draws=1024),
        lambda: grid(load(COAST), {"existing.age": range(36, 60, 2)}, draws=1024),
    ],
)
def test_a_folder_of_another_sweep_is_refused(tmp_path, other):
    folder_of(whole(), tmp_path / "first")
    with pytest.raises(ScenarioError, match="is of another sweep"):
        folder_of(other(), tmp_path / "first")


def test_other_version_form_or_choice_is_another_sweep(tmp_path, monkeypatch):
    folder_of(whole(), tmp_path / "first")
    with pytest.raises(ScenarioError, match="skipped"):
        folder_of(whole(), tmp_path / "first", skipped=[3])
    with pytest.raises(ScenarioError, match="csv"):
        folder_of(whole(), tmp_path / "first", csv=True)
    monkeypatch.setattr(sweeping, "form", lambda: "another")
    with pytest.raises(ScenarioError, match="evaluation"):
        folder_of(whole(), tmp_path / "first")


def compiled_for(monkeypatch, instructions: str) -> None:
    """Let a kernel answer that was compiled for some processor."""
    kernel = library.Library(None, {}, 4, instructions)
    monkeypatch.setattr(library, "found", lambda: (kernel, ""))


def test_what_another_processor_began_is_not_gone_on_with(tmp_path, monkeypatch):
    compiled_for(monkeypatch, "AVX2, gcc")
    folder_of(whole(), tmp_path / "first")
    compiled_for(monkeypatch, "x86-64, gcc")
    said = "evaluation compiled, AVX2, gcc instead of compiled, x86-64, gcc.*: name a new folder"
    with pytest.raises(ScenarioError, match=said):
        folder_of(whole(), tmp_path / "first")


def test_a_worker_of_another_form_or_processor_is_refused(tmp_path, monkeypatch):
    compiled_for(monkeypatch, "AVX2, gcc")
    folder = folder_of(whole(), tmp_path / "first")
    block = sweeping.block_of(whole(), folder, 0)
    compiled_for(monkeypatch, "ARM, clang")
    with pytest.raises(sweeping.OtherVersion, match=r"compiled, ARM, clang on a worker, .* AVX2, gcc here"):
        sweeping.part_of(block)
    monkeypatch.setattr(library, "found", lambda: (None, ""))
    with pytest.raises(sweeping.OtherVersion, match="numpy on a worker"):
        sweeping.part_of(block)


@pytest.mark.parametrize("text", ["", "[]", "{", '{"grid": 3}', "\x00"])
def test_a_manifest_that_is_none_is_one_message(tmp_path, text):
    (tmp_path / MANIFEST).write_text(text)
    with pytest.raises(ScenarioError):
        folder_of(whole(), tmp_path)


def test_what_is_no_folder_for_a_sweep_is_one_message(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(ScenarioError, match="holds something else"):
        folder_of(whole(), tmp_path)
    with pytest.raises(ScenarioError, match="cannot be made"):
        folder_of(whole(), tmp_path / "not" / "there")
    with pytest.raises(ScenarioError):
        folder_of(whole(), tmp_path / "mine.txt")


def test_the_manifest_says_what_it_is(tmp_path):
    folder = folder_of(whole(), tmp_path / "first")
    said = json.loads((folder.place / MANIFEST).read_text())
    assert said["grid"] == folder.digest
    assert said["points"] == 12
    assert said["evaluation"] == sweeping.form()
    assert said["version"]


def test_processes_of_a_sweep_share_the_cores_of_this_one(tmp_path, monkeypatch, unbroken):
    begun = []

    def pool(width, **how):
        begun.append((width, how["initializer"], how["initargs"]))
        return ThreadPoolExecutor(width)

    with monkeypatch.context() as patched:
        patched.setattr(sweeping, "ProcessPoolExecutor", pool)
        folder = folder_of(whole(), tmp_path / "shared")
        run(whole(), folder, workers=4)
    assert begun == [(4, sweeping.as_worker, (4,))] and contents(folder) == unbroken
    spawn = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(
        1, mp_context=spawn, initializer=sweeping.as_worker, initargs=(2 * threads(),)
    ) as one:
        assert one.submit(threads).result() == 1


def test_an_evaluation_starts_a_thread_for_each_core_that_is_ours(monkeypatch):
    monkeypatch.setattr("lifecycle.evaluation.threads._processes", 1)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: set(range(6)), raising=False)
    assert threads() == 6
    for processes, each in ((2, 3), (4, 1), (12, 1)):
        share(processes)
        assert threads() == each
    monkeypatch.delattr(os, "sched_getaffinity")  # where no system says which cores are ours
    monkeypatch.setattr(os, "cpu_count", lambda: 24)
    assert threads() == 2
    monkeypatch.setattr(os, "cpu_count", lambda: None)
    assert threads() == 1


def test_thresholds_of_the_allocator_are_raised_on_linux():
    assert sweeping.roomy() is (sys.platform.startswith("linux") and os.confstr("CS_GNU_LIBC_VERSION") != "")


def started(*arguments: str, **settings):
    """Start a Python of our own."""
    return subprocess.Popen(
        [sys.executable, *arguments], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, **settings
    )


def until(so: object, seconds: float = 600.0) -> None:
    """Wait until something is so."""
    end = time.monotonic() + seconds
    while not so():
        assert time.monotonic() < end, "it took too long"
        time.sleep(0.05)


@pytest.mark.slow
def test_a_command_that_is_killed_goes_on_and_leaves_no_worker(tmp_path, unbroken):
    place = tmp_path / "killed"
    words = ("sweep", FILE, "--over", "existing.age=36:58:2", "--to", str(place), "--workers", "2")
    run_it = started("-m", "lifecycle", *words)
    until(lambda: list(place.glob("part-*.parquet")))
    workers = psutil.Process(run_it.pid).children(recursive=True)
    run_it.send_signal(signal.SIGKILL)
    run_it.wait()
    until(lambda: not any(one.is_running() and one.status() != psutil.STATUS_ZOMBIE for one in workers))
    done = subprocess.run(
        [sys.executable, "-m", "lifecycle", *words, "--json"], capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["there_before"] >= 1
    assert {one.name: one.read_bytes() for one in place.glob("part-*.parquet")} == unbroken


@pytest.mark.parametrize("more", [(), ("--csv",)])
def test_the_command_says_where_the_rows_are_and_how_to_read_them(tmp_path, capsys, more):
    place = tmp_path / "told"
    assert (
        main(["sweep", FILE, "--over", "owner.hour_value=5,40", "--to", str(place), "--draws", "16", *more])
        == 0
    )
    said = " ".join(capsys.readouterr().out.split())
    assert f"in {place} (1 part" in said
    assert (
        f"Each part in {place} is a CSV file" if more else f'pandas.read_parquet("{place}") reads'
    ) in said


@pytest.fixture
def cluster(tmp_path):
    """Start a Dask scheduler and two workers, each its own process, on loopback; give address and workers."""
    pytest.importorskip("distributed")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    address = f"tcp://127.0.0.1:{port}"
    here = {"cwd": tmp_path, "env": {**os.environ, "PYTHONPATH": str(Path.cwd())}, "start_new_session": True}
    scheduler = "distributed.cli.dask_scheduler"
    processes = [
        started("-m", scheduler, "--host", "127.0.0.1", "--port", str(port), "--no-dashboard", **here)
    ]
    for _ in range(2):
        options = ("--nthreads", "1", "--no-dashboard", "--no-nanny")
        processes.append(started("-m", "distributed.cli.dask_worker", address, *options, **here))
    try:
        yield address, processes[1:]
    finally:
        for process in processes:
            process.kill()
            process.wait()


@pytest.mark.slow
def test_a_cluster_with_one_worker_killed_gives_the_same_bytes(tmp_path, cluster, unbroken, monkeypatch):
    """And the worker that is left does nothing for a sweep that another processor's kernel began."""
    address, workers = cluster
    import distributed

    with distributed.Client(address, timeout=300, set_as_default=False) as client:
        client.wait_for_workers(2, timeout=300)
    folder = folder_of(whole(), tmp_path / "cluster")
    killer = threading.Thread(target=lambda: (until(lambda: len(contents(folder)) > 1), workers[0].kill()))
    killer.start()
    run(whole(), folder, cluster=address)
    killer.join()
    assert workers[0].wait() == -signal.SIGKILL
    assert contents(folder) == unbroken
    compiled_for(monkeypatch, "another, gcc")
    other = folder_of(whole(), tmp_path / "another")
    with pytest.raises(
        ScenarioError, match=r"this very version, compiled alike, on every .* another, gcc here"
    ):
        run(whole(), other, cluster=address)


def test_a_cluster_that_does_not_answer_is_one_message(tmp_path, monkeypatch):
    pytest.importorskip("distributed")
    monkeypatch.setattr(sweeping, "ANSWERS_WITHIN", 1.0)
    folder = folder_of(whole(), tmp_path / "nobody")
    for address in ("tcp://127.0.0.1:1", "no address at all", "tcp://127.0.0.1:99999999"):
        with pytest.raises(ScenarioError, match="must be a Dask scheduler that answers"):
            run(whole(), folder, cluster=address)
