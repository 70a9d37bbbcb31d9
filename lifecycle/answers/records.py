"""What the records say: the cleaning account, the estimates, how far they carry; and into a scenario.

Lecture
-------
A sheet of records is cleaned and fitted for one purpose: how long roofs last (`life`), how often joints leak
(`joints`), or what stripped roofs hid (`hidden`). What comes of it is the same for the command, the page and
the notebook: how many rows were used, the estimates with their ends, and what must be said with them (whether
the curve fits, what cannot be told apart, of whom it holds); then which rows were left out, and why. Nothing
of the file but its name and its months is repeated: no identifier, no remark, no day.

`tuned` puts estimates into a scenario.

Left out: how each fit works (`records`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from lifecycle.answers.blocks import Answer, Block, Drawing, Items, Rest, Sentence, Table, charted
from lifecycle.answers.parts import SCHEMA, fields_of, made_by
from lifecycle.errors import Fault, ScenarioError
from lifecycle.files import fields, shared
from lifecycle.language.labels import HEADINGS, counted, listed, many_of_20
from lifecycle.language.sentences import say, words
from lifecycle.quantities import FieldInfo, in_rows, number_text, table_html
from lifecycle.records.estimate import FEWEST, Estimate, as_rank
from lifecycle.records.tuning import PLACES, WEAKEST, Exchanged, tool_figures, tuned_text
from lifecycle.studies.doubt import of_20

if TYPE_CHECKING:
    import pandas

    from lifecycle.records.columns import ColumnMap
    from lifecycle.records.hidden import HiddenFit
    from lifecycle.records.joints import JointFit
    from lifecycle.records.lives import LifeFit
    from lifecycle.records.tables import Account, Count, Drop, Sheet
    from lifecycle.scenario import Scenario

PURPOSES = ("life", "joints", "hidden")
"""What records are fitted for."""

SECTIONS = {"roof": "roofs", "leaks": "leaks", "figures": "visits", "climate": "climate"}
"""Section of the field metadata that says what a figure means."""

DOUBTFUL = 0.05
"""Chance of a misfit by luck below which a fit is called bad. [-]"""

ALIKE = 0.7
"""Correlation from which two figures are said to be hard to tell apart. [-]"""


@dataclass(frozen=True)
class Fitted:
    """What a fit gives.

    Parameters
    ----------
    purpose : str
        One of `PURPOSES`.
    account : Account
        What became of the rows.
    estimates : tuple of Estimate
        Figures with their ends.
    lines : tuple of str
        What must be said with them.
    fit_chance : float or None
        Chance of records further from the fit than these; None: no test. [-]
    more : dict
        For a result file.
    fit : LifeFit, JointFit or HiddenFit
        The fit itself.
    source : str
        Name of the sheet and what it holds.
    together : mapping of (str, str) to float
        Rank correlations of the estimates. [-]
    lacks : str
        What nobody said of the records and must be known before they are written into a scenario.
    """

    purpose: str
    account: Account
    estimates: tuple[Estimate, ...]
    lines: tuple[str, ...]
    fit_chance: float | None
    more: dict[str, Any]
    fit: Any
    source: str
    together: Mapping[tuple[str, str], float] = field(default_factory=dict)
    lacks: str = ""

    def __repr__(self) -> str:
        """Name the sheet and the estimates."""
        said = [
            f"  {one.name}: {one.low:.4g} ... {one.likely:.4g} ... {one.high:.4g}" for one in self.estimates
        ]
        return "\n".join([self.source, *said])

    def to_frame(self) -> pandas.DataFrame:
        """Return the estimates as rows, with the ends that hold 8 in 10. [unit of the figure]"""
        rows = {one.name: fields_of(one, "low", "likely", "high") for one in self.estimates}
        return in_rows(rows)

    def _repr_html_(self) -> str:
        """Show what the records say, and the estimates as a table, in a notebook."""
        return table_html(self.to_frame(), above=self.lines)


def records_answer(found: Fitted, name: str, written: Sequence[str] = ()) -> Answer:
    """Put what records say into blocks and plain data."""
    chart = None
    if found.purpose == "life" and found.fit.points[0].size:
        chart = Drawing(charted("method:probability_plot", found.fit))
    blocks: list[Block] = [
        Items(tuple(map(_counted, found.account)), marks=False),
        *([_estimates(found.estimates)] if found.estimates else []),
        Items(found.lines),
        *_written(written),
        Rest(),
        *_left_out(found.account),
        *([chart] if chart else []),
    ]
    return Answer(HEADINGS["records"], name, tuple(blocks), _data(found), chart)


def _estimates(estimates: Sequence[Estimate]) -> Table:
    """Return the estimates as a table."""
    rows = tuple(
        (_label(one.name), *(number_text(value, 3) for value in (one.likely, one.low, one.high)))
        for one in estimates
    )
    return Table(tuple(words("records.heads.estimates")), rows, numbers=(1, 2, 3))


def _written(written: Sequence[str]) -> Iterator[Block]:
    """Return what was written, and what was exchanged."""
    if written:
        yield Sentence(written[0] if len(written) == 1 else f"{written[0]}:")
    if len(written) > 1:
        yield Items(tuple(written[1:]))


def _counted(count: Count) -> str:
    """Say how many rows there were, and how many were left out."""
    numbers = {"found": count.found, "left_out": count.left_out, "kept": count.kept}
    return say("records.count", what=count.what, **{name: f"{one:,}" for name, one in numbers.items()})


def _left_out(account: Account) -> Iterator[Block]:
    """Return what was left out of the rows, and why."""
    for count in account:
        if not count.drops:
            continue
        yield Sentence(f"{_counted(count)}:")
        yield Items(tuple(map(_dropped, count.drops)))


def _dropped(drop: Drop) -> str:
    """Say how many rows were left out for one reason, and name the first of them."""
    more = " ..." if drop.number > len(drop.lines) else ""
    return say(
        "records.drop_lines" if len(drop.lines) > 1 else "records.drop_line",
        number=f"{drop.number:,}",
        reason=drop.reason,
        lines=", ".join(map(str, drop.lines)) + more,
    )


def _field(name: str) -> FieldInfo:
    """Return what is known of a figure."""
    return fields()[SECTIONS[PLACES[name]]]["finds" if name == "look_finds" else name]


def _label(name: str) -> str:
    """Return a figure in plain words, with its unit."""
    field = _field(name)
    said_already = field.unit == "-" or field.unit in field.label.split()
    return field.label if said_already else say("records.figure", label=field.label, unit=field.unit)


def _plain(name: str) -> str:
    """Return a figure in plain words, without unit."""
    if name == "look_finds":
        return say("records.look_finds")
    field = _field(name)
    return field.label if field.asks else say("labels.the", name=field.label)


def life_lines(fit: LifeFit) -> Iterator[str]:
    """Say how far the records of lives carry."""
    lives = fit.lives
    yield say("records.life.ended", ended=f"{lives.ended:,}", roofs=counted(lives.roofs, "roof"))
    if fit.widened:
        yield _widened(lives.ended, "life")
    if fit.entry_ignored is not None:
        years = number_text(fit.entry_ignored, 3)
        yield say("records.life.late", number=f"{lives.came_in_late:,}", years=years)
    if not fit.effects:
        yield _fits(fit.fit_chance, "life")
    for effect in fit.effects:
        times, low, high = (number_text(end, 3) for end in (effect.likely, effect.low, effect.high))
        yield say("records.life.effect", effect=effect.name, times=times, low=low, high=high)
    age = well_watched(fit)
    beyond = say("records.life.beyond", age=number_text(age, 2), fewest=FEWEST)
    yield f"{beyond} {say('records.life.mean_beyond')}" if fit.estimates[0].likely > age else beyond
    if abs(fit.together) >= ALIKE:
        alike = "less_alike" if fit.together < 0.0 else "more_alike"
        yield say(f"records.life.{alike}", rank=f"{fit.together:.1f}")
    yield from lives.notes
    if "life_shape" in fit.kept:
        yield say("records.kept_records", figures=_plain("life_shape"))
    if lives.places > 1:
        for name, figures in (
            ("climates_tell", [one.name for one in fit.estimates]),
            ("climates_do_not", fit.kept),
        ):
            of_climate = [_plain(figure) for figure in figures if PLACES[figure] == "climate"]
            if of_climate:
                yield say(f"records.life.{name}", number=lives.places, figures=listed(of_climate))
    yield _stands(lives.brought)
    yield say("records.life.holds")


def _stands(brought: bool) -> str:
    """Say whether figures are those of the reference, or of where the records stand."""
    return say("records.brought" if brought else "records.not_brought")


def well_watched(fit: LifeFit) -> float:
    """Return the highest age at which enough roofs were watched. [years]"""
    lives = fit.lives
    last = np.where(np.isfinite(lives.upper), lives.upper, lives.lower)
    order = np.argsort(-last)
    enough = np.flatnonzero(np.cumsum(lives.number[order]) >= FEWEST)
    return float(last[order][enough[0]]) if enough.size else 0.0


def joint_lines(fit: JointFit) -> Iterator[str]:
    """Say how far the records of joint leaks carry."""
    epochs = fit.epochs
    yield say(
        "records.joints.found",
        leaks=counted(epochs.found, "leak"),
        years=f"{epochs.years:,.0f}",
        nothing=f"{epochs.found_nothing:,}",
    )
    if fit.widened:
        yield _widened(epochs.found, "joints")
    if epochs.has_reason:
        routine = counted(epochs.by_routine, "leak")
        yield say("records.joints.reasons", complaints=f"{epochs.by_complaint:,}", leaks=routine)
        if fit.kept:
            yield say("records.kept_records", figures=listed(map(_plain, fit.kept)))
    else:
        yield say("records.joints.no_reasons")
    yield _fits(fit.fit_chance, "joints")
    if epochs.has_reason:
        yield _suspicion(fit.suspicion_chance)
    for (one, other), rank in fit.alike.items():
        yield say("records.together", one=_plain(one), other=_plain(other), rank=f"{rank:.1f}")
    yield from epochs.notes
    if epochs.unplaced <= 0.0:
        yield say("records.joints.placed")
    elif epochs.unplaced >= 1.0:
        yield say("records.joints.none_placed")
    else:
        yield say("records.joints.some_unplaced", share=f"{100.0 * epochs.unplaced:.0f}")
    yield _stands(epochs.sites.known)
    yield say("records.joints.holds")


def _suspicion(chance: float | None) -> str:
    """Say whether looks on suspicion seem to be among the routine ones."""
    if chance is None:
        return say("records.joints.suspicion_unknown")
    return say("records.joints.suspicion" if chance < DOUBTFUL else "records.joints.no_suspicion")


def hidden_lines(fit: HiddenFit) -> Iterator[str]:
    """Say what stripped roofs hid, and how far it carries."""
    sheets, wood = fit.sheets, fit.allowance
    yield say(
        "records.hidden.found",
        roofs=counted(sheets.roofs, "stripped roof"),
        not_sound=f"{sheets.not_sound:,}",
        rotten=f"{sheets.rotten:,}",
    )
    if fit.widened:
        yield _widened(sheets.not_sound, "hidden")
    yield say("records.hidden.allowance", wood=_jobs(wood.share), rotten=_jobs(wood.share_rotten))
    if wood.area_middle is not None and wood.area_nine_in_ten is not None:
        yield say(
            "records.hidden.area",
            number=f"{wood.areas:,}",
            middle=number_text(wood.area_middle, 2),
            most=number_text(wood.area_nine_in_ten, 2),
        )
    else:
        yield say("records.hidden.no_area", fewest=FEWEST)
    if fit.kept:
        yield say("records.kept_sheets", figures=listed(map(_plain, fit.kept)))
    yield _fits(fit.fit_chance, "hidden")
    if abs(fit.together) >= ALIKE:
        yield say("records.hidden.alike", rank=f"{fit.together:.1f}")
    if not sheets.has_reason:
        yield say("records.hidden.no_reasons")
    yield _stands(sheets.brought)
    yield say("records.hidden.holds")


def _jobs(share: Estimate) -> str:
    """Return a share as so many of 20 jobs, with its ends.

    Examples
    --------
    >>> _jobs(Estimate("a", 0.2, 0.18, 0.26)), _jobs(Estimate("a", 0.0, 0.0, 0.0))
    ('4 of 20 jobs (4 to 5 of 20)', 'fewer than 1 in 40 jobs')
    """
    likely, low, high = (of_20(value) for value in (share.likely, share.low, share.high))
    if low == high:
        return say("records.hidden.jobs", often=many_of_20(likely))
    return say("records.hidden.jobs_range", often=many_of_20(likely), low=low, high=high)


def _widened(events: int, purpose: str) -> str:
    """Say that the tool's own figures joined."""
    return say("records.widened", number=events, what=say(f"records.{purpose}.events"))


def _fits(chance: float | None, purpose: str) -> str:
    """Say how well a curve fits."""
    if chance is None:
        return say("records.untested", what=say(f"records.{purpose}.curve"))
    often = max(1, round(100.0 * chance))
    return say("records.fits_badly" if chance < DOUBTFUL else "records.fits", often=often)


def tuned_lines(
    exchanged: Sequence[Exchanged], together: Mapping[tuple[str, str], float], place: str
) -> tuple[str, ...]:
    """Say which figures of a scenario were exchanged, and which go together."""
    if not exchanged:
        return (say("records.nothing_tuned", place=place),)
    lines = [say("records.tuned", place=place)]
    for one in exchanged:
        ends = (one.after.low, one.after.likely, one.after.high)
        before = say("records.not_stated")
        if one.before is not None:
            was = dict.fromkeys((one.before.low, one.before.likely, one.before.high))
            before = say("records.before", numbers=_ends(*was), basis=one.before.basis)
        lines.append(say("records.exchanged", path=one.path, after=_ends(*ends), before=before))
    names = [one.path.rpartition(".")[2] for one in exchanged]
    lines += [
        _going_together(a, b, rank)
        for (a, b), rank in together.items()
        if a in names and b in names and abs(rank) >= WEAKEST
    ]
    return tuple(lines)


def _ends(*ends: float) -> str:
    """Return the ends of a range.

    Examples
    --------
    >>> _ends(0.0, 0.1, 0.4)
    '0 ... 0.1 ... 0.4'
    """
    return " ... ".join(number_text(end, 3) for end in ends)


def _going_together(one: str, other: str, rank: float) -> str:
    """Say how two figures go together, and why.

    Examples
    --------
    >>> _going_together("joint_leaks_ten_years", "sign_years", 0.371).partition(" (rank")[2]
    ' 0.37): more of both, or less of both, explains as many leaks'
    """
    what = "ends" if {one, other} & {"life_mean", "life_shape"} else "leaks"
    return say(
        "records.going",
        one=_field(one).label,
        other=_field(other).label,
        rank=f"{rank:.2f}",
        how=say("records.how.less" if rank < 0.0 else "records.how.more"),
        what=say(f"records.how.{what}"),
    )


def _data(found: Fitted) -> dict[str, Any]:
    """Return the answer as plain data."""
    return {
        "schema": SCHEMA,
        "for": found.purpose,
        "source": found.source,
        "account": [
            {
                "what": count.what,
                "found": count.found,
                "left_out": [{"reason": drop.reason, "number": drop.number} for drop in count.drops],
                "used": count.kept,
            }
            for count in found.account
        ],
        "estimates": {one.name: fields_of(one, "low", "likely", "high", "shape") for one in found.estimates},
        "fit_chance": found.fit_chance,
        "said": list(found.lines),
        **found.more,
        "made_by": made_by(None, say("records.method"), evaluated=False),
    }


def fit_records(
    purpose: str,
    sheet: Sheet,
    known: ColumnMap,
    scenario: Scenario | None = None,
    roof: str | None = None,
    *,
    widen: bool = False,
) -> Fitted:
    """Clean and fit a sheet of records."""
    return _FITS[purpose](sheet, known, scenario, roof, widen)


def _life(sheet: Sheet, known: ColumnMap, scenario: Scenario | None, roof: str | None, widen: bool) -> Fitted:
    """Fit lives."""
    from lifecycle.records.lives import fit_life, lives_from_looks, read_intervals
    from lifecycle.records.looks import read_looks

    ready = sheet.has(known.named("upper")) and sheet.has(known.named("lower"))
    covering = _covering(scenario, roof)
    if ready:
        lives = read_intervals(sheet, known, scenario, covering)
    else:
        lives = lives_from_looks(read_looks(sheet, known, reasons=False), scenario, covering)
    tool = tool_figures(_roof(scenario, roof))
    fit = fit_life(lives, priors=tool if widen else None, tool=tool, source=sheet.source)
    counts = say("records.life.counts", roofs=lives.roofs, ended=lives.ended)
    counts += f", {lives.covered}" if lives.covered else ""
    effects = {one.name: fields_of(one, "low", "likely", "high") for one in fit.effects}
    more = {
        **fields_of(lives, "roofs", "ended"),
        **fields_of(fit, "scale", "entry_ignored"),
        "correlation": fit.together,
        "effects": effects,
        "kept": list(fit.kept),
    }
    told = life_lines(fit), counts, more
    return _fitted("life", sheet, lives.account, fit, fit.correlations, told, brought=lives.brought)


def _joints(
    sheet: Sheet, known: ColumnMap, scenario: Scenario | None, roof: str | None, widen: bool
) -> Fitted:
    """Fit joint leaks."""
    from lifecycle.records.joints import epochs_of, fit_joints
    from lifecycle.records.looks import read_looks

    epochs = epochs_of(read_looks(sheet, known), scenario, _covering(scenario, roof))
    fit = fit_joints(epochs, tool_figures(_roof(scenario, roof)), widen=widen, source=sheet.source)
    watched = say("records.joints.counts", leaks=epochs.found, years=f"{epochs.years:.0f}")
    counts = f"{watched}, {epochs.covered}"
    more = {
        "leaks": epochs.found,
        "years": epochs.years,
        "looks_that_found_nothing": epochs.found_nothing,
        "reason_known": epochs.has_reason,
        "leaks_without_a_place": epochs.unplaced,
        "not_told_apart": [[*pair, rank] for pair, rank in fit.alike.items()],
        "kept": list(fit.kept),
        "suspicion_chance": fit.suspicion_chance,
    }
    told = joint_lines(fit), counts, more
    return _fitted("joints", sheet, epochs.account, fit, fit.together, told, brought=epochs.sites.known)


def _hidden(
    sheet: Sheet, known: ColumnMap, scenario: Scenario | None, roof: str | None, widen: bool
) -> Fitted:
    """Fit what stripped roofs hid."""
    from lifecycle.records.hidden import fit_hidden, read_job_sheets
    from lifecycle.studies.implied import shipped_membrane

    sheets = read_job_sheets(sheet, known)
    under = scenario if scenario is not None else shipped_membrane()
    fit = fit_hidden(sheets, under, tool_figures(_roof(scenario, roof)), widen=widen, source=sheet.source)
    counts = say("records.hidden.counts", roofs=sheets.roofs, not_sound=sheets.not_sound)
    wood = fit.allowance
    more = {
        **fields_of(sheets, "roofs", "not_sound", "rotten"),
        "allowance": {
            "share": [wood.share.low, wood.share.likely, wood.share.high],
            "share_rotten": [wood.share_rotten.low, wood.share_rotten.likely, wood.share_rotten.high],
            **fields_of(wood, "areas", "area_middle", "area_nine_in_ten"),
        },
        "reason_known": sheets.has_reason,
        "correlation": fit.together,
        "kept": list(fit.kept),
    }
    names = [one.name for one in fit.estimates]
    together = {(names[0], names[1]): fit.together} if len(names) == 2 else {}
    told = hidden_lines(fit), counts, more
    return _fitted("hidden", sheet, sheets.account, fit, together, told, brought=sheets.brought)


def _fitted(
    purpose: str,
    sheet: Sheet,
    account: Account,
    fit: LifeFit | JointFit | HiddenFit,
    together: Mapping[tuple[str, str], float],
    told: tuple[Iterable[str], str, Mapping[str, Any]],
    *,
    brought: bool,
) -> Fitted:
    """Return a fit with what is told of it: lines, counts for the source, data; correlations become ranks."""
    from lifecycle.studies.region_scenarios import AT_REFERENCE

    lines, counts, more = told
    lacks = "records.lacks.place" if purpose == "life" else "records.lacks.place_and_size"
    return Fitted(
        purpose,
        account,
        fit.estimates,
        tuple(lines),
        fit.fit_chance,
        {**more, "at_reference": brought, "widened": fit.widened},
        fit,
        f"{sheet.source}: {counts}" + (f"; {AT_REFERENCE}" if brought else ""),
        {pair: as_rank(one) for pair, one in together.items()},
        "" if brought else say(lacks),
    )


def _covering(scenario: Scenario | None, roof: str | None) -> str:
    """Return the covering of the roof that the records are of."""
    name = _roof(scenario, roof)
    if scenario is not None and name in scenario.roofs:
        return scenario.roofs[name].covering
    return str(shared()["roofs"].get(name, {}).get("covering", "membrane"))


def _roof(scenario: Scenario | None, roof: str | None) -> str:
    """Return the roof whose own figures of the tool join too few records."""
    return roof or (scenario.existing.roof if scenario is not None else "membrane")


_Fit = Callable[["Sheet", "ColumnMap", "Scenario | None", "str | None", bool], Fitted]

_FITS: Mapping[str, _Fit] = {"life": _life, "joints": _joints, "hidden": _hidden}


def tuned(
    scenario: Scenario, found: Fitted, *, roof: str | None = None, beside: str | None = None
) -> tuple[str, tuple[Exchanged, ...]]:
    """Put estimates into a scenario."""
    if found.lacks:
        raise ScenarioError([Fault("the column map", say("records.lacks.rule"), "", found.lacks)])
    widened = getattr(found.fit, "widened", False)
    return tuned_text(
        scenario,
        found.estimates,
        source=found.source,
        note=say("records.note_widened" if widened else "records.note"),
        roof=roof,
        beside=beside,
        together=found.together,
    )
