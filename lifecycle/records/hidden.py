"""What stripped roofs hid: job sheets, and a fit of silent leaks and leaks by age.

Lecture
-------
Only a stripped roof shows what it hid. A sheet says how old the roof was, how it was looked after (as one
of the upkeep plans), and whether the deck was sound, wet, or rotten; perhaps the area of wood that was
replaced, and why the roof was stripped. Planned jobs show what all roofs hide; jobs after a complaint
show mostly the bad ones. Where the reason stands on the sheets, only planned jobs are used.

Sheets are left out, each for the first reason: no age; no upkeep that is known; nothing said of the deck;
stripped because of trouble, or no reason said; the same row twice, which can be told only where a column
names the coach: two roofs may well have the same age and the same deck.

*What stripped roofs hid: silent leaks and leaks by age, from job sheets.*

A roof that is stripped shows its state once, at the age at which it is stripped: *current-status* data.
The model says how many leaks a roof of that age and upkeep hides, N in all and R past `severe_after`;
both are Poisson, so that

    sound   exp(-N)        rotten   1 - exp(-R)        wet   exp(-R) - exp(-N)

N and R are straight lines in the silent share s and in the leaks by age A, so four runs of the model
from new give them for all s and A. The log likelihood is taken on a grid; the ends of each figure are
where its profile has fallen by ``1.2816 ^ 2 / 2``: 8 in 10.

Both figures raise what stripped roofs hide; they are told apart by rot (silent leaks stay until the deck
is gone) and by age. All other figures stand at their likely values: a joint leak rate that is too high
comes out as fewer leaks by age.

*Deck allowance.* The share of jobs with new wood, and of those with a known area its middle and the
area that 9 of 10 do not exceed; from the sheets alone.

With fewer than `FEWEST` decks that were not sound the tool's own figures must join (`estimate`).

Assumed: the past upkeep was the plan that is named; the roof stood when it was stripped, and was not
badly done. Left out: the climate of each coach.

Source
------
Current-status likelihood and profile intervals: textbook. Intervals of shares: Wilson (1927), from
memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from lifecycle.errors import Fault, fault, nearest, stop_at
from lifecycle.evaluation.hiding import sign_chance
from lifecycle.evaluation.spell import run_spell
from lifecycle.evaluation.timeline import Start
from lifecycle.quantities import Array, Whole
from lifecycle.records.columns import MISSING, ColumnMap, Places, ages, codes, lacking, numbers, words
from lifecycle.records.estimate import (
    FALL,
    FEWEST,
    NINE_IN_TEN,
    Estimate,
    Prior,
    not_bounded,
    too_few,
)
from lifecycle.records.looks import ROUTINE
from lifecycle.records.site import standing_in
from lifecycle.records.tables import Account, Cleaning, Sheet, at_lines
from lifecycle.scenario import Scenario, Use, resolve
from lifecycle.studies.implied import with_every_plan

SOUND, WET, ROTTEN = 0, 1, 2
"""How the deck was, in the order of the data."""


@dataclass(frozen=True)
class JobSheets:
    """Stripped roofs.

    Parameters
    ----------
    age : ndarray of int, shape (roofs,)
        Age when stripped. [months]
    plan : ndarray of int, shape (roofs,)
        Place of its upkeep among `plans`.
    deck : ndarray of int, shape (roofs,)
        `SOUND`, `WET` or `ROTTEN`.
    area : ndarray, shape (roofs,)
        Wood replaced; not a number where not said. [unit of the sheets]
    plans : tuple of str
        Upkeep plans that occur.
    has_reason : bool
        Whether the sheets say why roofs were stripped.
    account : Account
        From rows to roofs.
    places : tuple of (str, float), or None
        Where they stand; none: the reference climate; None: nobody says.
    length : float or None
        Of the coaches; 0: that of the reference coach; None: nobody says. [m]
    """

    age: Whole
    plan: Whole
    deck: Whole
    area: Array
    plans: tuple[str, ...]
    has_reason: bool
    account: Account = ()
    places: Places | None = None
    length: float | None = None

    @property
    def brought(self) -> bool:
        """Whether place and size are known."""
        return self.places is not None and self.length is not None

    @property
    def roofs(self) -> int:
        """How many there are."""
        return int(self.age.size)

    @property
    def not_sound(self) -> int:
        """How many had wet or rotten wood."""
        return int(np.sum(self.deck != SOUND))

    @property
    def rotten(self) -> int:
        """How many had a rotten deck."""
        return int(np.sum(self.deck == ROTTEN))


def read_job_sheets(sheet: Sheet, known: ColumnMap) -> JobSheets:
    """Read job sheets, at least one, or say all that is wrong; the map knows the upkeep plans."""
    needed = ("age", "deck") if known.upkeep_of_all is not None else ("age", "deck", "upkeep")
    faults = lacking(sheet, known, needed, ("reason", "area", "upkeep", "coach"))
    if faults and known.upkeep_of_all is None and not sheet.has(known.named("upkeep")):
        remedy = 'or state one for all: [upkeep] all = "only_looks"'
        faults.append(Fault("upkeep", "of the roofs must be known", "", remedy))
    stop_at(faults, sheet.source)
    age = ages(sheet, known.named("age"), known, faults)
    deck = words(sheet, "deck", known, faults)
    area = numbers(sheet, known.named("area"), faults, what="an area")
    has_reason = sheet.has(known.named("reason"))
    reason = words(sheet, "reason", known, faults) if has_reason else np.full(deck.shape, ROUTINE)
    plan, plans = _plans(sheet, known, faults)
    stop_at(faults, sheet.source)
    cleaning = Cleaning("job_sheets", sheet.lines)
    cleaning.leave_out("no_age", np.isnan(age))
    cleaning.leave_out("no_upkeep", plan == MISSING)
    cleaning.leave_out("no_deck", deck == MISSING)
    cleaning.leave_out("for_trouble", reason != ROUTINE)
    if sheet.has(known.named("coach")):
        same = codes(np.array(["\x1f".join(row) for row in sheet.rows], dtype=object))[0]
        cleaning.leave_out("twice", ~np.isin(np.arange(same.size), np.unique(same, return_index=True)[1]))
    cleaning.stop_if_empty(sheet.source, "must have a roof that can be used", sheet.source)
    kept = cleaning.kept
    return JobSheets(
        np.rint(age[kept]).astype(np.int64),
        plan[kept],
        deck[kept],
        area[kept],
        plans,
        has_reason,
        (cleaning.count,),
        known.places,
        known.length,
    )


def _plans(sheet: Sheet, known: ColumnMap, faults: list[Fault]) -> tuple[Whole, tuple[str, ...]]:
    """Return the upkeep of each roof, and the plans that occur."""
    if known.upkeep_of_all is not None:
        return np.zeros(len(sheet.rows), dtype=np.int64), (known.upkeep_of_all,)
    name = known.named("upkeep")
    places, different = codes(sheet.column(name))
    found = [known.upkeep.get(text.casefold()) if text else "" for text in different]
    for number, plan in enumerate(found):
        if plan is None:
            rule = f'must be a word for an upkeep plan; "{different[number][:40]}"'
            remedy = (
                f"add it to [upkeep] of the column map; {nearest(different[number], sorted(known.upkeep))}"
            )
            at = at_lines(sheet.lines[places == number])
            faults.append(Fault(f'column "{name}"', f"{rule} is none, {at}", remedy=remedy))
    plans = tuple(sorted({plan for plan in found if plan}))
    numbered = np.array([plans.index(plan) if plan else MISSING for plan in found], dtype=np.int64)
    return numbered[places], plans


SHARES, SIZES = 61, 81
"""Points of the grid of silent shares, and of leaks by age."""

MOST_LEAKS, LEAST_LEAKS = 30.0, 1e-3
"""Ends of the grid of leaks by age in ten years. [leaks]"""

IMPOSSIBLE = -1e6
"""Stands for the log likelihood of what cannot be."""

CORNERS = ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0))
"""Silent shares and leaks by age of the four runs."""


@dataclass(frozen=True)
class HiddenByAge:
    """What the model hides, as straight lines in silent share and leaks by age.

    Parameters
    ----------
    every, rotten : mapping of str to ndarray, shape (4, months + 1)
        By plan: all hidden leaks, and those past `severe_after`, at `CORNERS`. [leaks]
    """

    every: Mapping[str, Array]
    rotten: Mapping[str, Array]

    def at(self, plan: str, ages: Whole, share: Array, size: Array) -> tuple[Array, Array]:
        """Return all hidden leaks and those of a rotten deck, shape (..., ages).

        Parameters
        ----------
        plan : str
            Upkeep plan.
        ages : ndarray of int, shape (ages,)
            [months]
        share, size : ndarray, shape (...)
            Silent share, and leaks by age in ten years. [-, leaks]
        """
        weights = np.stack([(1 - share) * (1 - size), share * (1 - size), (1 - share) * size, share * size])
        both = [
            np.tensordot(weights, table[plan][:, ages], axes=(0, 0)) for table in (self.every, self.rotten)
        ]
        return both[0], both[1]


@dataclass(frozen=True)
class Allowance:
    """New wood in jobs.

    Parameters
    ----------
    jobs, rotten : int
        How many, how many with wood that was not sound, and with a rotten deck.
    share, share_rotten : Estimate
        The shares, with their ends. [-]
    areas : int
        How many areas are known.
    area_middle, area_nine_in_ten : float or None
        Of new wood, where there is any; None: fewer than `FEWEST` areas. [unit of the sheets]
    """

    jobs: int
    rotten: int
    share: Estimate
    share_rotten: Estimate
    areas: int
    area_middle: float | None
    area_nine_in_ten: float | None


@dataclass(frozen=True)
class HiddenFit:
    """Silent share and leaks by age, fitted.

    Parameters
    ----------
    sheets : JobSheets
        What it was fitted to.
    estimates : tuple of Estimate
        silent_share and age_leaks_ten_years, as far as the sheets bound them.
    kept : tuple of str
        Those that they do not bound.
    allowance : Allowance
        New wood in jobs.
    together : float
        Rank of the ridge: correlation of the two over the likelihood. [-]
    bands : ndarray, shape (bands, 7)
        Age at the end; jobs sound, wet and rotten; the same as expected. [years, roofs]
    fit_chance : float or None
        Chance of a misfit as large; None: too few to test. [-]
    widened : bool
        Whether the tool's own figures joined for both.
    """

    sheets: JobSheets
    estimates: tuple[Estimate, ...]
    kept: tuple[str, ...]
    allowance: Allowance
    together: float
    bands: Array
    fit_chance: float | None
    widened: bool = False


def hidden_by_age(scenario: Scenario, plans: tuple[str, ...], months: int) -> HiddenByAge:
    """Run the existing roof system from new under some plans, at the four corners.

    Parameters
    ----------
    scenario : Scenario
        Gives all other figures, at likely values.
    plans : tuple of str
        Upkeep plans.
    months : int
        Highest age. [months]

    Returns
    -------
    HiddenByAge
    """
    share, size = (_path(scenario, name) for name in ("silent_share", "age_leaks_ten_years"))
    corners = np.array(CORNERS)
    case = resolve(with_every_plan(scenario), {share: corners[:, 0], size: corners[:, 1]})
    every, rotten = {}, {}
    for way in case.alternatives:
        if way.name not in plans:
            continue
        spell = run_spell(way.roof, case.leaks, start=Start(), months=months + 1, draws=len(corners))
        hidden, unseen = spell.hidden, 1.0 - np.asarray(sign_chance(case.leaks))
        found = unseen * hidden.open + hidden.silent
        every[way.name] = np.asarray(found).T
        rotten[way.name] = np.asarray(unseen * (hidden.severe + hidden.severe_end)).T
    return HiddenByAge(every, rotten)


def _path(scenario: Scenario, name: str) -> str:
    """Return the path of a figure of hidden leaks."""
    where = scenario.leaks if name == "silent_share" else scenario.roofs[scenario.existing.roof].numbers
    stated = where.get(name)
    if not isinstance(stated, Use):
        raise fault(name, "must be a figure of the scenario", remedy='take [leaks] like = "shared"')
    return stated.path


def fit_hidden(
    sheets: JobSheets,
    scenario: Scenario,
    tool: Mapping[str, Prior],
    *,
    widen: bool = False,
    source: str = "the records",
    model: HiddenByAge | None = None,
) -> HiddenFit:
    """Fit silent share and leaks by age.

    Parameters
    ----------
    sheets : JobSheets
        The records.
    scenario : Scenario
        Gives all other figures.
    tool : mapping of str to Prior
        The tool's own silent_share and age_leaks_ten_years.
    widen : bool
        Whether fewer than `FEWEST` decks that were not sound may move the tool's own figures.
    source : str
        Name of the file, for messages.
    model : HiddenByAge or None
        What the model hides; None: it is run.

    Returns
    -------
    HiddenFit

    Raises
    ------
    ScenarioError
        If there are too few decks that were not sound.
    """
    widened = sheets.not_sound < FEWEST
    if widened and not widen:
        raise too_few(sheets.not_sound, "decks that were not sound", source)
    if model is None:
        there = scenario
        if sheets.places is not None or sheets.length is not None:
            there = standing_in(scenario, sheets.places or (), sheets.length or 0.0)
        model = hidden_by_age(there, sheets.plans, int(sheets.age.max()))
    share = np.linspace(0.0, 1.0, SHARES)[:, None]
    log_size = np.linspace(np.log(LEAST_LEAKS), np.log(MOST_LEAKS), SIZES)[None, :]
    surface = _surface(sheets, model, *np.broadcast_arrays(share, np.exp(log_size)))
    joined = (
        NAMES if widened else tuple(name for name, one in _given(surface, share, log_size) if one is None)
    )
    surface = surface + sum((_prior(tool[name], share, log_size) for name in joined), np.zeros((1, 1)))
    found = [
        one
        for name, one in _given(surface, share, log_size)
        if one is not None and (widened or name not in joined or _narrowed(one, tool[name]))
    ]
    if not found:
        raise not_bounded("what roofs hide", source)
    kept = [name for name in NAMES if name not in [one.name for one in found]]
    best = np.unravel_index(int(np.argmax(surface)), surface.shape)
    bands = _bands(sheets, model, float(share[best[0], 0]), float(np.exp(log_size[0, best[1]])))
    return HiddenFit(
        sheets,
        tuple(found),
        tuple(kept),
        allowance_of(sheets),
        _together(surface, share, log_size),
        bands,
        _fit_chance(bands),
        widened,
    )


WIDEST_SHARE = 0.8
"""Between ends further apart than that a silent share is not bounded. [-]"""

NAMES = ("silent_share", "age_leaks_ten_years")
"""What is sought."""


def _given(surface: Array, share: Array, log_size: Array) -> list[tuple[str, Estimate | None]]:
    """Return each figure with the ends of its profile; None where the sheets do not bound it."""
    low, likely, high = _ends(surface.max(1), share[:, 0])
    first = Estimate(NAMES[0], likely, low, high, shape="normal") if high - low < WIDEST_SHARE else None
    ends = _ends(surface.max(0), log_size[0])
    inside = ends[0] > log_size[0, 0] + 0.1 and ends[2] < log_size[0, -1] - 0.1
    low, likely, high = (float(np.exp(one)) for one in ends)
    second = Estimate(NAMES[1], likely, low, high) if inside else None
    return list(zip(NAMES, (first, second), strict=True))


def _prior(tool: Prior, share: Array, log_size: Array) -> Array:
    """Return the tool's own figure as it joins, on the grid."""
    if tool.name == NAMES[0]:
        error = max((tool.high - tool.low) / (2.0 * NINE_IN_TEN), 1e-6)
        return np.asarray(-0.5 * ((share - tool.likely) / error) ** 2)
    return np.asarray(-0.5 * ((log_size - tool.middle) / tool.error) ** 2)


def _narrowed(one: Estimate, tool: Prior) -> bool:
    """Whether the sheets put a figure more narrowly than the tool's own range does."""
    if one.name == NAMES[0]:
        return one.high - one.low < tool.high - tool.low
    return one.high / one.low < tool.high / tool.low


def _surface(sheets: JobSheets, model: HiddenByAge, share: Array, size: Array) -> Array:
    """Return the log likelihood on the grid."""
    total = np.zeros(share.shape)
    kinds, number = np.unique(
        np.column_stack([sheets.plan, sheets.deck, sheets.age]), axis=0, return_counts=True
    )
    for plan, name in enumerate(sheets.plans):
        mine = kinds[:, 0] == plan
        for deck in (SOUND, WET, ROTTEN):
            some = mine & (kinds[:, 1] == deck)
            every, rotten = model.at(name, kinds[some, 2], share, size)
            with np.errstate(divide="ignore", invalid="ignore"):
                if deck == SOUND:
                    chance = -every
                elif deck == WET:
                    chance = -rotten + np.log(-np.expm1(-np.maximum(every - rotten, 0.0)))
                else:
                    chance = np.log(-np.expm1(-rotten))
            total += np.einsum("...a,a->...", np.maximum(chance, IMPOSSIBLE), number[some])
    return np.asarray(total)


def _ends(profile: Array, places: Array) -> tuple[float, float, float]:
    """Return low end, maximum and high end of a profile."""
    best = int(np.argmax(profile))
    level = float(profile[best]) - FALL
    inside = np.flatnonzero(profile >= level)
    low, high = int(inside[0]), int(inside[-1])
    ends = [float(places[low]), float(places[best]), float(places[high])]
    if low > 0:
        ends[0] = float(np.interp(level, profile[low - 1 : low + 1], places[low - 1 : low + 1]))
    if high < places.size - 1:
        ends[2] = float(np.interp(-level, -profile[high : high + 2], places[high : high + 2]))
    if 0 < best < places.size - 1:
        left, middle, right = profile[best - 1 : best + 2]
        bend = left - 2.0 * middle + right
        ends[1] += 0.5 * (left - right) / bend * (places[1] - places[0]) if bend < 0.0 else 0.0
    return ends[0], min(max(ends[1], ends[0]), ends[2]), ends[2]


def _together(surface: Array, share: Array, log_size: Array) -> float:
    """Return the correlation of the two figures over the likelihood."""
    weight = np.exp(surface - surface.max())
    weight /= weight.sum()
    one, other = np.broadcast_arrays(share, log_size)
    away = [values - float(np.sum(weight * values)) for values in (one, other)]
    spread = [float(np.sum(weight * values**2)) for values in away]
    if min(spread) <= 0.0:
        return 0.0
    return float(np.sum(weight * away[0] * away[1]) / np.sqrt(spread[0] * spread[1]))


def _bands(sheets: JobSheets, model: HiddenByAge, share: float, size: float) -> Array:
    """Return jobs sound, wet and rotten, seen and expected, in three bands of age."""
    ends = np.unique(np.quantile(sheets.age, [1 / 3, 2 / 3, 1.0], method="higher"))
    expected = np.empty((sheets.roofs, 3))
    for plan, name in enumerate(sheets.plans):
        mine = sheets.plan == plan
        every, rotten = model.at(name, sheets.age[mine], np.array(share), np.array(size))
        sound, gone = np.exp(-every), -np.expm1(-rotten)
        expected[mine] = np.column_stack([sound, 1.0 - sound - gone, gone])
    rows, after = [], -1.0
    for end in ends:
        some = (sheets.age > after) & (sheets.age <= end)
        seen = np.bincount(sheets.deck[some], minlength=3).astype(float)
        rows.append([end / 12.0, *seen.tolist(), *expected[some].sum(0).tolist()])
        after = float(end)
    return np.array(rows)


def _fit_chance(bands: Array) -> float | None:
    """Return the chance of numbers that lie as far from what is expected.

    In each band sound decks against others, and of all the others how many were rotten: two figures were
    fitted to them.
    """
    from scipy.special import chdtrc

    seen, expected = bands[:, 1:4], bands[:, 4:]
    counted, reckoned = (np.stack([one[:, 0], one[:, 1:].sum(1)], axis=1) for one in (seen, expected))
    gone = float(expected[:, 2].sum() / expected[:, 1:].sum())
    number = float(seen[:, 1:].sum())
    if len(bands) < 3 or min(float(reckoned.min()), number * gone) < FEWEST:
        return None
    distance = float(np.sum((counted - reckoned) ** 2 / reckoned))
    distance += (float(seen[:, 2].sum()) - number * gone) ** 2 / (number * gone * (1.0 - gone))
    return float(chdtrc(len(bands) - 1, distance))


def allowance_of(sheets: JobSheets) -> Allowance:
    """Return how often, and how much, wood was replaced."""
    known = sheets.area[(sheets.deck != SOUND) & (sheets.area > 0.0)]
    enough = known.size >= FEWEST
    return Allowance(
        sheets.roofs,
        sheets.rotten,
        wilson("share with new wood", sheets.not_sound, sheets.roofs),
        wilson("share with a rotten deck", sheets.rotten, sheets.roofs),
        int(known.size),
        float(np.median(known)) if enough else None,
        float(np.quantile(known, 0.9)) if enough else None,
    )


def wilson(name: str, number: int, of: int) -> Estimate:
    """Return a share, of so many out of all, with its ends, 8 in 10.

    Examples
    --------
    >>> found = wilson("wet", 5, 20)
    >>> found.likely, round(found.low, 3), round(found.high, 3)
    (0.25, 0.148, 0.39)
    """
    share, z2 = number / of, NINE_IN_TEN**2
    middle = (share + z2 / (2.0 * of)) / (1.0 + z2 / of)
    half = NINE_IN_TEN / (1.0 + z2 / of) * np.sqrt(share * (1.0 - share) / of + z2 / (4.0 * of**2))
    return Estimate(
        name, share, max(0.0, float(middle - half)), min(1.0, float(middle + half)), shape="normal"
    )
