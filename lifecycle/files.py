"""Opening scenario files and the shared data: the only room that touches files.

Lecture
-------
A scenario is a TOML file of at most 300 kB; anything larger is refused before it is parsed. It
is read on top of the shared data, which are installed with the package. Whatever is wrong with a
file, be it missing, no TOML or full of slips, is a `ScenarioError`.

What is written goes to a part beside its place first, under a name that holds the number of the
process, and is then put there whole. What a process that was killed left beside a place is cleaned up
by the next that writes to that place.
"""

from __future__ import annotations

import glob
import hashlib
import os
import re
import secrets
import shutil
import stat
import tomllib
from collections.abc import Callable, Iterator, Mapping, MutableMapping
from contextlib import contextmanager, suppress
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, BinaryIO

from lifecycle.climate import DRIVERS
from lifecycle.data import data
from lifecycle.errors import Fault, ScenarioError, fault, nearest
from lifecycle.kinds import COVERINGS, check_covering
from lifecycle.places import scenario_path
from lifecycle.quantities import Fields, Figure, convert, fields_from
from lifecycle.quote import Found
from lifecycle.reading import read_scenario
from lifecycle.reading.quotes import PriceList, read_found, read_price_list
from lifecycle.reading.reader import Reader, item_name
from lifecycle.scenario import SET, Scenario

__all__ = [
    "EDITIONS",
    "LARGEST",
    "data",
    "dumps",
    "example",
    "fields",
    "filed",
    "load",
    "load_found",
    "load_table",
    "load_text",
    "loads",
    "loads_prices",
    "nearest",
    "opened",
    "restated",
    "save",
    "shared",
    "shared_then",
    "write",
    "write_all",
]

SHARED = ("shared.toml", "coach.toml", "climate.toml", "places.toml", "quote.toml")
"""Data files that make the shared data; no table stands in two of them."""

EDITIONS: tuple[str, ...] = tuple(data("editions/today.toml")["before"])
"""Earlier versions whose figures are known, the oldest first."""

WHERE = ("place", "places", *DRIVERS)
"""Names of a climate that say where it is."""

LARGEST = 300_000
"""Size of the largest scenario file. [bytes]"""


def load(path: str | os.PathLike[str], *, edition: str | None = None) -> Scenario:
    """Load a scenario from a file.

    Parameters
    ----------
    path : str or PathLike
        A TOML file.
    edition : str or None
        With the tool's figures of that earlier version, one of `EDITIONS`; None: those of today.

    Returns
    -------
    Scenario
        Checked, on top of the shared data.

    Raises
    ------
    ScenarioError
        If the file cannot be read, or with all its faults.
    """
    name = os.fspath(path)
    shown = str(name) or "a file without a name"
    return _read(_bytes(name, shown), shown, os.path.dirname(os.fsdecode(name)), edition)


def example(name: str) -> Scenario:
    """Load a scenario that comes with the library, wherever it is installed.

    Parameters
    ----------
    name : str
        As ``"humid-coast-motorhome"``: an invented coach.

    Raises
    ------
    ScenarioError
        If there is none of that name.
    """
    return load(scenario_path(name))


def loads(text: str, name: str = "a scenario", *, beside: str | None = None) -> Scenario:
    """Load a scenario from a text.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        What to call it in messages.
    beside : str or None
        Folder with the price lists that its quotes name; None: they are not opened.

    Returns
    -------
    Scenario
        Checked, on top of the shared data.

    Raises
    ------
    ScenarioError
        With all its faults.
    """
    return _read(text.encode("utf-8", "surrogatepass"), name, beside)


def loads_prices(content: bytes, name: str) -> PriceList:
    """Load a shop's price list that was handed over, not opened.

    Parameters
    ----------
    content : bytes
        TOML in UTF-8.
    name : str
        What to call it in messages.

    Returns
    -------
    PriceList
        Checked; figures in metric units.

    Raises
    ------
    ScenarioError
        With all its faults.
    """
    shown = name or "a price list"
    if len(content) > LARGEST:
        raise _error(shown, f"must be at most {LARGEST:,} bytes", f"{len(content):,} bytes")
    reader = Reader(fields(), {}, {})
    found = read_price_list(reader, shown, shown, {shown: _parsed(_text(content, shown), shown)})
    if found is None:
        raise ScenarioError(reader.faults)
    return found


def load_found(path: str | os.PathLike[str], scenario: Scenario) -> tuple[str, Found]:
    """Load what was found after stripping.

    Parameters
    ----------
    path : str or PathLike
        A TOML file.
    scenario : Scenario
        With the quotes; gives the units where the file states none.

    Returns
    -------
    str, Found
        Name of the quote that was signed, and what was found.

    Raises
    ------
    ScenarioError
        If the file cannot be read, or with all its faults.
    """
    name = os.fspath(path)
    shown = str(name)
    own = _parsed(_text(_bytes(name, shown), shown), shown)
    return read_found(own, fields(), scenario.quotes, source=shown, units=scenario.units)


def load_text(path: str | os.PathLike[str], *, largest: int = LARGEST) -> str:
    """Load a text file, such as readings that were written down.

    Parameters
    ----------
    path : str or PathLike
        A file in UTF-8.
    largest : int
        Most bytes that it may have. [bytes]

    Returns
    -------
    str

    Raises
    ------
    ScenarioError
        If it cannot be read.
    """
    name = os.fspath(path)
    shown = str(name) or "a file without a name"
    return _text(_bytes(name, shown, largest), shown)


def load_table(path: str | os.PathLike[str]) -> dict[str, Any]:
    """Load a TOML file that is no scenario, such as a column map.

    Parameters
    ----------
    path : str or PathLike
        A TOML file of at most `LARGEST` bytes.

    Returns
    -------
    dict
        Its tables.

    Raises
    ------
    ScenarioError
        If it cannot be read, or is no TOML.
    """
    shown = str(os.fspath(path)) or "a file without a name"
    return _parsed(load_text(path), shown)


def restated(scenario: Scenario, says: Mapping[str, Any], *, worded: bool = True) -> Scenario:
    """Return a scenario whose file says something else; all else of it stays as it was.

    Parameters
    ----------
    scenario : Scenario
        Inputs that were changed since it was read keep their change, unless they are said anew.
    says : mapping of str to object
        What the file says, as TOML would have it, by dotted name: ``{"existing.age": 36}``; an entry of a
        list is called by its `name`. What says where the coach stands takes the place of all that said so.
        [unit of the file]
    worded : bool
        Whether the new scenario has its text, with the comments, for whoever reads or writes that; it takes
        three times as long as to read it.

    Returns
    -------
    Scenario
        Read like any other.

    Raises
    ------
    ScenarioError
        With all its faults.
    """
    own: Any = tomllib.loads(scenario.text)
    faults = _say(own, says, lambda value: value)
    if faults:
        raise ScenarioError(faults, scenario.source)
    text = ""
    if worded:
        import tomlkit

        document = tomlkit.parse(scenario.text)
        _say(document, says, _inline)
        text = tomlkit.dumps(document)
    new = read_scenario(
        own,
        shared(),
        fields(),
        text=text,
        source=scenario.source,
        sha256=hashlib.sha256((text or f"{scenario.sha256}{sorted(says.items())!r}").encode()).hexdigest(),
        price_lists=scenario.price_lists,
    )
    kept = {
        path: scenario.inputs[path] for path in scenario.changed if path in new.inputs and path not in says
    }
    return replace(new, inputs={**new.inputs, **kept}, changed=tuple(kept))


def _say(document: Any, says: Mapping[str, Any], written: Callable[[Any], Any]) -> list[Fault]:
    """Put what a file says into its tables; return a fault for each name that has no place there."""
    if any(name in {f"climate.{one}" for one in WHERE} for name in says):
        for name in WHERE:
            document.get("climate", {}).pop(name, None)
    faults = []
    for name, value in says.items():
        *sections, last = name.split(".")
        table: Any = document
        for section in sections:
            if isinstance(table, list):
                table = _entry(table, section)
            elif isinstance(table, MutableMapping):
                table = table[section] if section in table else table.setdefault(section, written({}))
        if isinstance(table, MutableMapping):
            table[last] = written(value)
        else:
            faults.append(Fault(name, "is no name of this scenario", remedy="lifecycle figures names them"))
    return faults


def _entry(entries: list[Any], name: str) -> Any:
    """Return the entry of a list that has this name or number; None if there is none."""
    named = {item_name(one, count): one for count, one in enumerate(entries, start=1)}
    return named.get(name)


def _inline(value: Any) -> Any:
    """Return what is written into a file: tables within a list on one line each."""
    import tomlkit

    if isinstance(value, list):
        found = tomlkit.array()
        for entry in value:
            found.append(_inline(entry) if not isinstance(entry, Mapping) else on_one_line(entry))
        return found
    if isinstance(value, Mapping):
        return on_one_line(value) if value else tomlkit.table()
    return value


def on_one_line(entry: Mapping[str, Any]) -> Any:
    """Return a table of TOML that is written on one line."""
    import tomlkit

    table = tomlkit.inline_table()
    table.update(entry)
    return table


def dumps(scenario: Scenario) -> str:
    """Return a scenario as the text of its file, with every change that was made since it was read.

    Parameters
    ----------
    scenario : Scenario
        As loaded, or changed by `lifecycle.change`.

    Returns
    -------
    str
        The file as it was, with its comments, but for what is other now; read back, it says the same.

    Raises
    ------
    ScenarioError
        If a change has no place in a file, as the sum of a quote's lines.
    """
    return filed(scenario).text


def filed(scenario: Scenario, *, apart: bool = False) -> Scenario:
    """Return a changed scenario as its file says it, written and read back: what a face shows can be kept.

    Parameters
    ----------
    scenario : Scenario
        As loaded, or changed by `lifecycle.change`.
    apart : bool
        Whether a figure that several roofs share may become that of the one roof which the file then names;
        the others keep the shared one.

    Returns
    -------
    Scenario
        Its text is the file as it was, with its comments, but for what is other now; the units in which it
        is shown stay.

    Raises
    ------
    ScenarioError
        If a change has no place in a file, as the sum of a quote's lines.
    """
    plain = replace(scenario, changed=())
    before = restated(plain, {}, worded=False).inputs
    own = tomllib.loads(scenario.text)
    says = {
        path: _said(figure, own.get("units", "us"))
        for path, figure in scenario.inputs.items()
        if not _same(figure, before.get(path))
    }
    if not says:
        return scenario
    roofs = {path.split(".")[1] for path in says if path.startswith("roofs.")} - own.get("roofs", {}).keys()
    likes: dict[str, Any] = {f"roofs.{roof}.like": roof for roof in sorted(roofs)}
    if any(f"climate.{name}" in says for name in DRIVERS):
        likes |= {f"climate.{name}": own["climate"][name] for name in WHERE if name in own["climate"]}
    try:
        after = restated(plain, {**likes, **says})
    except ScenarioError as error:
        raise ScenarioError([_not_in_a_file(path) for path in says]) from error
    if wrong := [
        path for path, figure in scenario.inputs.items() if not _same(figure, after.inputs.get(path))
    ]:
        raise ScenarioError([_not_in_a_file(path) for path in wrong])
    if (more := after.inputs.keys() - scenario.inputs.keys()) and not apart:
        raise ScenarioError([_not_in_a_file(path.removeprefix("shared.")) for path in sorted(more)])
    return replace(after, changed=tuple(says), units=scenario.units)


def _not_in_a_file(path: str) -> Fault:
    """Return the fault of a change that has no place of its own in a file."""
    return Fault(path, "has no line of its own in a file", "", "change in the file what it comes from")


_ROUNDING = 1e-9
"""Least relative difference of two figures that is one: units are converted."""


def _same(figure: Figure, other: Figure | None) -> bool:
    """Whether two figures say the same."""
    if other is None or (figure.shape, figure.basis) != (other.shape, other.basis):
        return False
    pairs = [(getattr(figure, end), getattr(other, end)) for end in ("low", "likely", "high")]
    return all(abs(one - two) <= _ROUNDING * max(1.0, abs(two)) for one, two in pairs)


def _said(figure: Figure, units: str) -> dict[str, Any]:
    """Return what a file in `units` says of a figure."""
    unit = figure.field.unit_in(units)
    ends = (convert(end, figure.field.unit, unit) for end in (figure.low, figure.likely, figure.high))
    low, likely, high = (int(end) if end == int(end) else end for end in ends)
    said = {"low": low, "likely": likely, "high": high, "shape": figure.shape, "basis": figure.basis}
    if not figure.ranged:
        said = {"value": likely, "basis": figure.basis}
    note = "your own figure" if figure.note == SET else figure.note
    return {**said, **{name: text for name, text in (("source", figure.source), ("note", note)) if text}}


def save(scenario: Scenario, file: str | os.PathLike[str], *, over: bool = False) -> None:
    """Write a scenario, with every change that was made, into a file for every command, page and notebook.

    Parameters
    ----------
    scenario : Scenario
        As loaded, or changed by `lifecycle.change`.
    file : str or PathLike
        Ending in .toml, in a folder that exists.
    over : bool
        Whether a file of that name is replaced.

    Raises
    ------
    ScenarioError
        If a change has no place in a file, or the file cannot be written or stands there already.
    """
    place = Path(file)
    if place.suffix.lower() != ".toml":
        raise fault(str(place), "must end in .toml", "", f"name it {place.stem or 'my-roof'}.toml")
    for name in scenario.price_lists:
        if not (place.parent / name).is_file():
            rule = "must lie beside the price list that its quote names"
            raise fault(str(place), rule, "", f"copy {name} there first")
    write(place, dumps(scenario).encode("utf-8"), new=not over)


@contextmanager
def opened(path: str | os.PathLike[str]) -> Iterator[BinaryIO]:
    """Open a file of any size, to be read in pieces.

    Parameters
    ----------
    path : str or PathLike
        A plain file.

    Yields
    ------
    binary file
        Open at its start; closed afterwards.

    Raises
    ------
    ScenarioError
        If it cannot be opened or read.
    """
    name = os.fspath(path)
    shown = str(name) or "a file without a name"
    with _reading(shown):
        _check_plain(name, shown)
        file = open(name, "rb")  # noqa: SIM115
    with file:
        yield file


@cache
def shared() -> dict[str, Any]:
    """Return the shared data, as parsed; not to be changed. A covering that is half added is refused."""
    found = {key: table for name in SHARED for key, table in data(name).items()}
    plans = {**found["plans"], **found.get("other_plans", {})}
    for covering in (kind.kept_as for kind in COVERINGS.values()):
        jobs = {f"jobs in the plan {plan!r}": covering in table for plan, table in plans.items()}
        surface = (f"{covering}_reflectance", f"{covering}_emittance")
        figures = {f"climate.{name}": name in found["climate"] for name in surface}
        named = (("plans", covering), *(("climate", name) for name in surface))
        field = {f"a field {section}.{name}": name in fields()[section] for section, name in named}
        kinds = data("upkeep.toml")["kinds"].items()
        texts = {f"what to do at {kind!r}": covering in job["do"] for kind, job in kinds if "do" in job}
        check_covering(covering, {**jobs, **figures, **field, **texts})
    return found


@cache
def fields() -> Fields:
    """Return the field metadata; which coverings and answers there are is said by kinds and questions."""
    found = data("fields.toml")
    covering = {**found["roofs"]["covering"], "choices": list(COVERINGS)}
    parts = (part for question in data("questions.toml")["questions"] for part in question["parts"])
    loose = {"kind": "loose", "group": "text"}
    answers = {
        part["key"]: {**loose, "label": part["short"], **found["answers"].get(part["key"], {})}
        for part in parts
    }
    return fields_from({**found, "roofs": {**found["roofs"], "covering": covering}, "answers": answers})


@cache
def shared_then(edition: str) -> dict[str, Any]:
    """Return the shared data with the figures of an earlier version; not to be changed.

    Parameters
    ----------
    edition : str
        One of `EDITIONS`.
    """
    return _over(shared(), data(f"editions/{edition}.toml"))


def _over(now: dict[str, Any], then: dict[str, Any]) -> dict[str, Any]:
    """Lay one nested table over another; a figure is taken whole, an empty table says that there was none."""
    new = dict(now)
    for name, table in then.items():
        if table:
            new[name] = table if "basis" in table else _over(now[name], table)
        else:
            del new[name]
    return new


def _read(content: bytes, name: str, folder: str | None = None, edition: str | None = None) -> Scenario:
    """Parse and read a scenario, with the price lists beside it if it comes from a folder."""
    if len(content) > LARGEST:
        raise _error(name, f"must be at most {LARGEST:,} bytes", f"{len(content):,} bytes or more")
    text = _text(content, name)
    own = _parsed(text, name)
    lists, contents = _price_lists(own, folder)
    return read_scenario(
        own,
        shared() if edition is None else shared_then(edition),
        fields(),
        text=text,
        source=name,
        sha256=hashlib.sha256(b"".join([content, *contents])).hexdigest(),
        price_lists=lists,
    )


def _price_lists(own: dict[str, Any], folder: str | None) -> tuple[dict[str, Any], list[bytes]]:
    """Open the price lists that quotes name: parsed or the fault, by name; and their contents."""
    quotes = own.get("quotes")
    tables = (
        [entry for entry in quotes.values() if isinstance(entry, dict)] if isinstance(quotes, dict) else []
    )
    names = dict.fromkeys(entry["prices"] for entry in tables if isinstance(entry.get("prices"), str))
    found: dict[str, Any] = {}
    contents = []
    for name in names if folder is not None else ():
        try:
            found[name], content = _price_list(name, os.path.join(folder or "", name))
            contents.append(content)
        except ScenarioError as error:
            found[name] = error.faults[0]
    return found, contents


def _price_list(name: str, place: str) -> tuple[dict[str, Any], bytes]:
    """Open one price list: a TOML file beside the scenario, or in a folder there."""
    if os.path.isabs(name) or ".." in name.replace("\\", "/").split("/"):
        raise _error(name, "must lie beside the scenario", remedy="write its name without the way to it")
    content = _bytes(place, name)
    return _parsed(_text(content, name), name), content


def _text(content: bytes, name: str) -> str:
    """Return the content of a file as text."""
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _error(
            name, "must be text in UTF-8", f"byte {error.start + 1} is none", "save it as UTF-8"
        ) from None


def _parsed(text: str, name: str) -> dict[str, Any]:
    """Parse TOML."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        where = re.search(r"\(at line (\d+), column (\d+)\)", str(error))
        rule = f"must be TOML: {str(error).partition(' (at ')[0]}"
        line = int(where[1]) if where else None
        remedy = "correct that line" if line else "a bracket is open, or a name stands twice"
        fault = Fault(name, rule, "", remedy, line)
        raise ScenarioError([fault]) from None
    except (ValueError, RecursionError, OverflowError):
        raise _error(name, "must be TOML that can be read", "a number too long or tables too deep") from None


def _bytes(name: str | bytes, shown: str, largest: int = LARGEST) -> bytes:
    """Return the content of a file, not more than a byte beyond the largest allowed."""
    with _reading(shown):
        size = _check_plain(name, shown)
        if size > largest:
            raise _error(shown, f"must be at most {largest:,} bytes", f"{size:,} bytes")
        with open(name, "rb") as file:
            return file.read(largest + 1)


def _check_plain(name: str | bytes, shown: str) -> int:
    """Check that there is a plain file, and return its size. [bytes]"""
    mode = os.stat(name)
    if stat.S_ISDIR(mode.st_mode):
        raise _error(shown, "must be a file", "a folder", "name the file in it")
    if not stat.S_ISREG(mode.st_mode):
        raise _error(shown, "must be a plain file", "something else")
    return mode.st_size


@contextmanager
def _reading(shown: str) -> Iterator[None]:
    """Turn what the system says of a file that cannot be read into one message."""
    try:
        yield
    except FileNotFoundError:
        raise _error(shown, "does not exist", remedy="check the name and the folder") from None
    except (OSError, ValueError) as error:
        if isinstance(error, ScenarioError):
            raise
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _error(shown, f"cannot be read: {reason.lower()}") from None


def _error(name: str, rule: str, got: str = "", remedy: str = "") -> ScenarioError:
    """Return the error for a file as a whole."""
    return ScenarioError([Fault(name, rule, got, remedy)])


def write(place: Path, content: bytes, *, new: bool = False) -> None:
    """Put a file where it is to go, whole or not at all.

    Parameters
    ----------
    place : Path
        In a folder that exists; a link is followed.
    content : bytes
        All of it.
    new : bool
        Whether nothing may stand there yet, be it put there in this very moment.

    Raises
    ------
    ScenarioError
        If it cannot be written, or must be new and is not.
    """
    whole = place.resolve()
    with _writing(place, whole) as part:
        part.write_bytes(content)
        if not new:
            os.replace(part, whole)
            return
        try:
            os.link(part, whole)
        except FileExistsError:
            raise _exists(place) from None
        except OSError:  # a file system without links
            _created(place, whole, content)


def _created(place: Path, whole: Path, content: bytes) -> None:
    """Put a new file where nothing stands."""
    try:
        with whole.open("xb") as file:
            file.write(content)
    except FileExistsError:
        raise _exists(place) from None


def _exists(place: Path) -> ScenarioError:
    """Return the error of a place that is taken."""
    return fault(str(place), "exists already, and is not overwritten", "", "name another file")


def write_all(folder: Path, contents: Mapping[str, bytes]) -> None:
    """Put files into a folder, all or none; the folder is made if it is not there.

    Parameters
    ----------
    folder : Path
        Its own folder exists.
    contents : mapping of str to bytes
        By name of the file. Files of these names are replaced, others stay.

    Raises
    ------
    ScenarioError
        If one of them cannot be written, or a folder stands where one is to go; nothing is changed then.
    """
    whole = folder.resolve()
    for name in contents:
        if (whole / name).is_dir():
            raise fault(str(folder / name), "must be a file", "a folder", "move it away first")
    with _writing(folder, whole) as part:
        before = part / _BEFORE
        before.mkdir(parents=True)
        for name, content in contents.items():
            (part / name).write_bytes(content)
        if not whole.is_dir():
            before.rmdir()
            os.rename(part, whole)
            return
        there: list[str] = []
        try:
            for name in contents:
                if (whole / name).exists():
                    os.rename(whole / name, before / name)
                there.append(name)
                os.rename(part / name, whole / name)
        except BaseException:
            for name in there:
                with suppress(OSError):
                    (whole / name).unlink()
            _put_back(part, whole)
            raise


_BEFORE = "before"
"""Folder of a part that holds the files that it replaces."""


@contextmanager
def _writing(place: Path, whole: Path) -> Iterator[Path]:
    """Give a name beside a place that nobody else writes to, and clean up behind it and behind the killed."""
    if any(sign < " " for sign in whole.name):
        raise fault(repr(place.name), "must be a name without line breaks or tabs", "", "name another file")
    start = f".{whole.name[:60]}."
    part = whole.with_name(f"{start}{os.getpid()}-{secrets.token_hex(4)}.part")
    try:
        for left in whole.parent.glob(f"{glob.escape(start)}*-*.part"):
            if not _is_at_work(left.name.removeprefix(start).partition("-")[0]):
                _put_back(left, whole)
                _remove(left)
        try:
            yield part
        finally:
            _remove(part)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise fault(str(place), f"cannot be written: {reason}", "", "nothing was changed there") from None


def _put_back(part: Path, whole: Path) -> None:
    """Put back what a part took away from a folder."""
    if (part / _BEFORE).is_dir():
        for old in (part / _BEFORE).iterdir():
            with suppress(OSError):
                os.replace(old, whole / old.name)


def _is_at_work(process: str) -> bool:
    """Whether a process runs that has this number; where that cannot be told, it does."""
    if os.name != "posix" or not process.isdecimal():
        return True
    try:
        os.kill(int(process), 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True


def _remove(part: Path) -> None:
    """Take a file or a folder away, if it is there."""
    with suppress(OSError):
        if part.is_dir():
            shutil.rmtree(part)
        else:
            part.unlink()
