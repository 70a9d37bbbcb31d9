"""How long roofs last: lives as far as they were seen, and a Weibull fitted to them.

Lecture
-------
A roof came into the records at the age `entry`, was last known to stand at `lower`, and was first known
to have ended at `upper` (infinite: it still stood). It contributes, with survival S,

    (S(lower) - S(upper)) / S(entry)

Dividing by S(entry) is *left truncation*: a roof that ended before it could come into the records is
not in them, so that old roofs in the records are the lasting ones. Leaving it out makes lives too long.

From looks: `entry` is the age in the month in which the coach came under this upkeep, where a column says
it. Else, if the map states when the records begin, it is the age then (0 for a roof laid later), but only
where every coach was there from then on: a coach that came later could not have been seen to fail before,
and those years would count as lasting ones (*immortal time*). So coaches first looked at more than
`JOINED_WITHIN` months after that are refused until somebody says when they came. Without either it is the
age at the first look, and a roof that is first seen at its end is left out: it is in the records only
because it ended.

A look that finds the end closes the interval which the look before it (or the entry) opened; an end in the
month of the look before is taken to lie within that month. A roof that was renewed because its deck was
gone, and one that was sold, stood until then and says nothing of later. Ages are in months here and years
in a fit.

Ready-made intervals have the columns lower and upper, and may have entry, count and covariates. An empty
upper is a roof that stands; equal ends are an age known exactly.

*The fit* maximises the sum of ``log((S(lower) - S(upper)) / S(entry))``, with the density in place of the
difference where an age is known exactly, and ``S(t) = exp(-(t / scale) ** shape)``. A survival library does
it; the same likelihood is written down here once more, because three things need it that the library does
not have: ends by profile and the tool's own figures joining (`estimate`), the test of fit, and a check of
the library.

With covariates z the life is multiplied by ``exp(b z)``: accelerated life, z less its mean.

*Place.* Ages count as effective ones, years by the calendar times the ageing of the site (`site`). Where
roofs stand in several places, how strongly heat and sun age them is estimated with the life, the tool's own
ranges joining: ``ageing = heat ** c_heat * sun ** a_sun``. What the records do not narrow stays the tool's.

*Test of fit.* Ages are cut into `BANDS` bands with equal numbers of ends expected by the fit, and the
hazard may be higher or lower by a factor of its own in all bands but two. The gain in log likelihood,
doubled, has about a chi-squared distribution with ``BANDS - 2`` degrees if the Weibull holds.

*Points.* What the records say without any shape: Turnbull's estimate on a grid of ages, truncation
included. With records that start late it is known only from the age at which they start; there it is
put on the fitted line.

Assumed: looks do not depend on how near its end a roof is; coaches do not leave because of their roof.
Left out: a roof's upkeep, unless it is a covariate: the tool counts years of a roof whose joints are kept
sealed.

Source
------
The likelihood of truncated and interval-censored lives: textbook. Survival library: surpyval. Turnbull
(1976), the empirical distribution with grouped, censored and truncated data; from memory. Checked against
published fits.
"""

from __future__ import annotations

import warnings
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import combinations
from math import exp, log
from typing import Any

import numpy as np

from lifecycle.climate import ageing_factor
from lifecycle.errors import Fault, fault, stop_at
from lifecycle.quantities import Array, Flags, Frame, Whole
from lifecycle.records.columns import MISSING, ColumnMap, ages, lacking, numbers, sites
from lifecycle.records.estimate import (
    EFFECT,
    FEWEST,
    NINE_IN_TEN,
    Estimate,
    Free,
    Prior,
    Sought,
    maximum,
    not_bounded,
    seek,
    too_few,
)
from lifecycle.records.looks import DECK_GONE, END, SLACK, SOLD, Looks
from lifecycle.records.site import Sites, sites_of
from lifecycle.records.tables import Account, Cleaning, Sheet, at_lines
from lifecycle.scenario import Scenario

JOINED_WITHIN = 24
"""A coach first looked at later than that after the records begin needs the day on which it came. [months]"""


@dataclass(frozen=True)
class RoofLives:
    """Lives of roofs as far as they were seen.

    Parameters
    ----------
    lower, upper, entry : ndarray, shape (roofs,)
        Last known to stand, first known to have ended (may be infinite), came into the records. [years]
    number : ndarray, shape (roofs,)
        How many such roofs.
    covariates : ndarray, shape (roofs, names)
        Numbers that a life may depend on.
    names : tuple of str
        Their names.
    account : Account
        From rows to roofs.
    covered : str
        First and last month of the looks; "" where the records have no dates.
    site : ndarray, shape (roofs, 3)
        Ageing, acceleration by heat and ratio of the sun where each stands, the last two before their
        exponents; 1 where the ages are effective ones already, or nobody says where they stand. [-]
    brought : bool
        Whether every roof's place is known.
    places : int
        How many different sites there are.
    notes : tuple of str
        What must be said of the records.

    Raises
    ------
    ValueError
        If an interval runs backwards, or a roof came in after its end.
    """

    lower: Array
    upper: Array
    entry: Array
    number: Array
    covariates: Array
    names: tuple[str, ...] = ()
    account: Account = ()
    covered: str = ""
    site: Array = field(default_factory=lambda: np.ones((0, 3)))
    brought: bool = False
    places: int = 0
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.site.shape[0] != self.lower.size:
            object.__setattr__(self, "site", np.ones((self.lower.size, 3)))
        if np.any(self.lower > self.upper) or np.any(self.entry > self.lower):
            raise ValueError("needs entry <= lower <= upper in every row")

    def aged(self, ageing: Array | float) -> RoofLives:
        """Return the same lives in years that pass so much faster, shape (roofs,)."""
        ends = {name: getattr(self, name) * ageing for name in ("lower", "upper", "entry")}
        return replace(self, **ends, site=np.ones_like(self.site))

    @property
    def effective(self) -> RoofLives:
        """The same lives in effective years, by the likely ageing of each site."""
        return self.aged(self.site[:, 0])

    @property
    def roofs(self) -> int:
        """How many roofs there are."""
        return int(self.number.sum())

    @property
    def ended(self) -> int:
        """How many of them ended."""
        return int(self.number[np.isfinite(self.upper)].sum())

    @property
    def oldest(self) -> float:
        """Highest age at which a roof was seen. [years]"""
        return float(max(self.lower.max(), self.upper[np.isfinite(self.upper)].max(initial=0.0)))

    @property
    def came_in_late(self) -> int:
        """How many came into the records at an age above 0."""
        return int(self.number[self.entry > 0.0].sum())


def roof_lives(
    lower: Array,
    upper: Array,
    entry: Array | float = 0.0,
    number: Array | None = None,
    covariates: Array | None = None,
    names: tuple[str, ...] = (),
    account: Account = (),
    covered: str = "",
    site: Sites | None = None,
    notes: tuple[str, ...] = (),
) -> RoofLives:
    """Put equal roofs together.

    Parameters
    ----------
    lower, upper, entry, number, covariates, names, account, covered, notes
        As of `RoofLives`.
    site : Sites or None
        What the site of each roof does; None: nobody says where they stand.

    Returns
    -------
    RoofLives

    Examples
    --------
    >>> lives = roof_lives(np.array([2.0, 2.0, 5.0]), np.array([3.0, 3.0, np.inf]))
    >>> lives.number.tolist(), lives.roofs, lives.ended
    ([2.0, 1.0], 3, 2)
    """
    lower = np.asarray(lower, dtype=float)
    counts = np.ones(lower.shape) if number is None else np.asarray(number, dtype=float)
    further = np.empty((lower.size, 0)) if covariates is None else np.asarray(covariates, dtype=float)
    brought = site is not None and site.known
    stands = np.ones((lower.size, 3))
    if site is not None and brought:
        stands = np.column_stack([site.ageing, site.heat, site.sun])
    rows = np.column_stack([lower, upper, np.broadcast_to(entry, lower.shape), stands, further])
    different, place = np.unique(rows, axis=0, return_inverse=True)
    together = np.bincount(place.ravel(), weights=counts, minlength=len(different)).astype(np.float64)
    low, high, came = different[:, :3].T
    stands = different[:, 3:6]
    places = len(np.unique(stands, axis=0))
    found = RoofLives(
        low, high, came, together, different[:, 6:], names, account, covered, stands, brought, places, notes
    )
    return found.effective if places == 1 else found


def lives_from_looks(looks: Looks, scenario: Scenario | None = None, covering: str = "membrane") -> RoofLives:
    """Turn looks into lives; refused if none can be used, or coaches came later and nobody says when."""
    import pandas

    table = pandas.DataFrame(
        {
            **{name: getattr(looks, name) for name in ("coach", "month", "seen", "laid")},
            "joined": np.where(looks.joined == MISSING, np.nan, looks.joined),
            "line": looks.lines,
        }
    )
    roofs, first = _by_roof(table)
    cleaning = Cleaning("roofs", roofs["line"].to_numpy())
    laid = roofs["laid"].to_numpy()
    last, end = roofs["last"].to_numpy(dtype=float), roofs["end"].to_numpy(dtype=float)
    came, seen = _came(roofs, looks)
    cleaning.leave_out("not_laid", laid == MISSING)
    cleaning.leave_out("unsure", roofs["unsure"].to_numpy())
    cleaning.leave_out("ended_before", seen & (end < came))
    cleaning.leave_out("seen_at_its_end", ~seen & np.isnan(last))
    cleaning.leave_out("single_look", ~seen & (last == came) & np.isnan(end))
    came = np.fmin(came, np.fmin(last, end))
    covariates = looks.covariates[first]
    cleaning.leave_out("no_covariate", np.asarray(np.isnan(covariates).any(axis=1), dtype=np.bool_))
    cleaning.stop_if_empty("the records", "must have a roof that can be used")
    kept, account = cleaning.kept, (*looks.account, cleaning.count)
    lower = np.fmax(last, came)
    upper = np.where(np.isnan(end), np.inf, np.maximum(end, lower + 1.0))
    low, high, entry = ((values - laid)[kept] / 12.0 for values in (lower, upper, came))
    where = first[kept]
    length = np.zeros(where.size)  # how long a coach is does nothing to a life
    site = sites_of(looks.site[where], looks.sites, length, scenario, covering)
    return roof_lives(
        low, high, entry, None, covariates[kept], looks.names, account, looks.covered, site, looks.notes
    )


def _came(roofs: Frame, looks: Looks) -> tuple[Array, Flags]:
    """Return the month from which each roof would have been seen to end, and whether that is said."""
    laid, first = roofs["laid"].to_numpy(dtype=float), roofs["first"].to_numpy(dtype=float)
    joined = roofs["joined"].to_numpy(dtype=float)
    said = ~np.isnan(joined)
    if looks.begin is not None and not said.all():
        begins = np.maximum(laid, float(looks.begin))
        late = ~said & (first > begins + JOINED_WITHIN) & (laid != MISSING)
        if late.any() and not looks.all_from_begin:
            rule = (
                "must say when coaches came that were first looked at more than "
                f"{JOINED_WITHIN} months after the records begin"
            )
            remedy = (
                "name the column: [columns] joined; or, if all were there from the beginning, say so: "
                "[records] all_from_begin = true"
            )
            lines = at_lines(roofs["line"].to_numpy()[late])
            raise fault("the records", rule, f"{int(late.sum()):,}, {lines}", remedy)
        joined = np.where(said, joined, begins)
        said = np.ones_like(said)
    return np.where(said, np.maximum(laid, np.fmin(joined, np.inf)), first), said


def _by_roof(table: Frame) -> tuple[Frame, Whole]:
    """Return a row for each roof, and the place of its first look.

    A roof is what was laid on a coach in one month, give or take `SLACK`; looks after its end are no
    looks at it. Columns: laid, first, last (standing, before the end), end, line, unsure.
    """
    laid = table["laid"].to_numpy()
    order = np.lexsort((table["month"].to_numpy(), laid, table["coach"].to_numpy()))
    sorted_ = table.iloc[order].reset_index(drop=True)
    another = (sorted_["coach"].diff() != 0) | (sorted_["laid"].diff() > SLACK)
    sorted_["roof"] = another.cumsum() - 1
    sorted_["place"] = order
    sorted_ = sorted_.sort_values(["roof", "month"], kind="stable")
    sorted_["left"] = sorted_["seen"].isin((DECK_GONE, SOLD))
    ended = sorted_["seen"] == END
    grouped = sorted_.groupby("roof", sort=True)
    end = sorted_["month"].where(ended).groupby(sorted_["roof"]).min()
    before = sorted_["month"].where(~ended & ~(sorted_["month"] > sorted_["roof"].map(end)))
    roofs = grouped.agg(
        coach=("coach", "first"),
        laid=("laid", "min"),
        first=("month", "min"),
        latest=("month", "max"),
        line=("line", "first"),
        place=("place", "first"),
        joined=("joined", "min"),
        left=("left", "max"),
    )
    roofs["end"] = end
    roofs["last"] = before.groupby(sorted_["roof"]).max()
    # Another roof on the coach though nobody saw this one end, or while it was still looked at.
    following = roofs["laid"].shift(-1).where(roofs["coach"].shift(-1) == roofs["coach"])
    unended = (roofs["end"].isna() & ~roofs["left"]) | (roofs["latest"] > following + SLACK)
    unsure = (following.notna() & unended).to_numpy()
    roofs["unsure"] = unsure | np.concatenate([[False], unsure[:-1]])
    return roofs.reset_index(drop=True), roofs["place"].to_numpy(dtype=np.int64)


def read_intervals(
    sheet: Sheet, known: ColumnMap, scenario: Scenario | None = None, covering: str = "membrane"
) -> RoofLives:
    """Read ready-made intervals, or say which columns are missing and which intervals cannot be."""
    faults = lacking(sheet, known, ("lower", "upper"), ("entry", "count", "place"))
    stop_at(faults, sheet.source)
    lower = np.nan_to_num(ages(sheet, known.named("lower"), known, faults))
    upper = ages(sheet, known.named("upper"), known, faults)
    upper = np.where(np.isnan(upper), np.inf, upper)
    entry, number = np.nan_to_num(ages(sheet, known.named("entry"), known, faults)), np.ones(lower.shape)
    if sheet.has(known.named("count")):
        name, what = known.named("count"), "how many"
        number = numbers(sheet, name, faults, low=1.0, whole=True, may_be_empty=False, what=what)
    further = [
        numbers(sheet, name, faults, low=-1e9, high=1e9, may_be_empty=False) for name in known.covariates
    ]
    place, known_sites = sites(sheet, known, faults)
    if not faults:
        faults = _impossible(sheet, known, lower, upper, entry)
    stop_at(faults, sheet.source)
    covariates = np.column_stack(further) if further else None
    account = (Cleaning("rows", sheet.lines).count,)
    lower = np.maximum(lower, entry)
    site = sites_of(place, known_sites, np.zeros(lower.shape), scenario, covering)
    ends = (lower / 12.0, upper / 12.0, entry / 12.0, number)
    return roof_lives(*ends, covariates=covariates, names=known.covariates, account=account, site=site)


def _impossible(sheet: Sheet, known: ColumnMap, lower: Array, upper: Array, entry: Array) -> list[Fault]:
    """Return a fault for each kind of interval that cannot be."""
    lines = sheet.lines
    empty = (lower <= entry) & np.isinf(upper)
    backwards = lower > upper
    late = ~backwards & (entry > 0.0) & ((entry >= upper) | (np.isinf(upper) & (entry > lower)))
    names = [known.named(name) for name in ("lower", "upper", "entry")]
    faults = []
    if empty.any():
        rule = f'or column "{names[1]}" must hold an age: such a row says nothing'
        faults.append(
            Fault(f'column "{names[0]}"', rule, at_lines(lines[empty]), "state one, or leave the row out")
        )
    if backwards.any():
        rule = f'must not be above column "{names[1]}": the interval runs backwards'
        faults.append(Fault(f'column "{names[0]}"', rule, at_lines(lines[backwards]), "swap or correct them"))
    if late.any():
        rule = "must be below the age at which the roof was last seen, or had ended: it came in after that"
        faults.append(
            Fault(f'column "{names[2]}"', rule, at_lines(lines[late]), "correct them, or leave them out")
        )
    return faults


BANDS, FEWEST_TO_TEST = 4, 20
"""Bands of age of the test of fit; ends that it needs."""

GRID = 24
"""Steps of age of the points, about."""

NUDGE = 1e-7
"""The library wants truncation below the lower end of an interval. [years]"""


@dataclass(frozen=True)
class LifeFit:
    """A Weibull life, fitted.

    Parameters
    ----------
    lives : RoofLives
        What it was fitted to, in effective years.
    shape, scale : float
        Of the Weibull. [-, years]
    covariance : ndarray, shape (2, 2)
        Of log(scale) and log(shape).
    log_likelihood : float
        At the fit.
    estimates : tuple of Estimate
        life_mean and life_shape, as far as the records bound them; heat_exponent and sun_exponent, where
        they narrow them.
    effects : tuple of Estimate
        By covariate: what one unit more multiplies the life by.
    effect_errors : tuple of float
        Standard errors of their logarithms, from the curvature. [-]
    correlations : mapping of (str, str) to float
        Of each pair of estimates. [-]
    kept : tuple of str
        What stayed the tool's own.
    entry_ignored : float or None
        Mean life if truncation is ignored; None where nothing came in late. [years]
    fit_chance : float or None
        Chance of a misfit as large, if a Weibull holds; None: not tested. [-]
    points : tuple of ndarray
        Ages and survival without any shape. [years, -]
    widened : bool
        Whether the tool's own figures joined.
    """

    lives: RoofLives
    shape: float
    scale: float
    covariance: Array
    log_likelihood: float
    estimates: tuple[Estimate, ...]
    effects: tuple[Estimate, ...] = ()
    effect_errors: tuple[float, ...] = ()
    correlations: Mapping[tuple[str, str], float] = field(default_factory=dict)
    kept: tuple[str, ...] = ()
    entry_ignored: float | None = None
    fit_chance: float | None = None
    points: tuple[Array, Array] = field(default_factory=lambda: (np.empty(0), np.empty(0)))
    widened: bool = False

    @property
    def together(self) -> float:
        """Correlation of mean life and shape, in logarithms. [-]"""
        return self.correlations.get(("life_mean", "life_shape"), 0.0)

    def survival(self, ages: Array) -> Array:
        """Share of roofs that outlast an age. [-]"""
        return np.asarray(np.exp(-((ages / self.scale) ** self.shape)))

    def band(self, ages: Array) -> tuple[Array, Array]:
        """Low and high end of the share of roofs that outlast an age, 8 in 10. [-]"""
        away = np.log(ages / self.scale)
        slope = np.stack([np.full_like(away, -self.shape), self.shape * away])
        error = np.sqrt(np.einsum("ia,ij,ja->a", slope, self.covariance, slope))
        middle = self.shape * away
        low, high = (np.exp(-np.exp(middle + sign * NINE_IN_TEN * error)) for sign in (1.0, -1.0))
        return low, high


def log_likelihood(lives: RoofLives, scale: float, shape: float) -> float:
    """Log likelihood of a Weibull life.

    Parameters
    ----------
    lives : RoofLives
        The records.
    scale, shape : float
        Of the Weibull, above 0. [years, -]

    Returns
    -------
    float

    Examples
    --------
    >>> from lifecycle.records.lives import roof_lives
    >>> stands = roof_lives(np.array([3.0]), np.array([np.inf]), np.array([1.0]))
    >>> log_likelihood(stands, 2.0, 1.0)
    -1.0
    """
    lower, upper, entry = (_hazard(ages, scale, shape) for ages in _ends(lives))
    return float(lives.number @ _terms(lives, lower, upper, entry, shape))


def _ends(lives: RoofLives) -> tuple[Array, Array, Array]:
    """Return the three ages of each row."""
    return lives.lower, lives.upper, lives.entry


def _hazard(ages: Array, scale: float, shape: float) -> Array:
    """Return the cumulative hazard."""
    with np.errstate(over="ignore"):
        return np.asarray((ages / scale) ** shape)


def _terms(lives: RoofLives, lower: Array, upper: Array, entry: Array, shape: float) -> Array:
    """Return the log likelihood of each row from its cumulative hazards."""
    exact = lives.lower == lives.upper
    with np.errstate(divide="ignore", invalid="ignore"):
        inside = np.log(-np.expm1(-(upper - lower)))
        density = np.log(shape) + np.log(lower) - np.log(lives.lower)
    return np.asarray(entry - lower + np.where(exact, density, np.where(np.isinf(upper), 0.0, inside)))


def fit_life(
    lives: RoofLives,
    *,
    priors: Mapping[str, Prior] | None = None,
    tool: Mapping[str, Prior] | None = None,
    source: str = "the records",
    only_figures: bool = False,
) -> LifeFit:
    """Fit a Weibull life.

    Parameters
    ----------
    lives : RoofLives
        The records.
    priors : mapping of str to Prior or None
        The tool's own life_mean and life_shape, to join fewer than `FEWEST` ends; None: refused then.
    tool : mapping of str to Prior or None
        The tool's own heat_exponent and sun_exponent, to be moved by records of several places, and its
        life_shape, which joins where the records do not bound it; None: none of them joins.
    source : str
        Name of the file, for messages.
    only_figures : bool
        Whether the test of fit, the points, and what ignoring entry makes of it are left out.

    Returns
    -------
    LifeFit

    Raises
    ------
    ScenarioError
        If there are too few ends, or the records do not bound the mean life.
    """
    widened = lives.ended < FEWEST
    if widened and priors is None:
        raise too_few(lives.ended, "life ends", source)
    joined = {} if priors is None else priors
    held: tuple[str, ...] = ("life_mean", "life_shape") if widened else ()
    free = tool if lives.places > 1 else None
    found = _sought(lives, joined, free, held)
    if not widened and found.estimate("life_mean") is None:
        if priors is None:
            raise not_bounded("how long roofs last", source)
        widened = True
        found = _sought(lives, joined, free, ("life_mean", "life_shape"))
    if not widened and tool is not None and found.estimate("life_shape") is None:
        held = ("life_shape",)
        found = _sought(lives, tool, free, held)
    exponents = [name for name in EXPONENTS if free is not None]
    given = ("life_mean",) if held == ("life_shape",) else ("life_mean", "life_shape")
    told = [found.estimate(name) for name in given]
    if free is not None:
        alone = {name: _sought(lives, joined, free, held, alone=name) for name in exponents}
        told += [alone[name].tells(name, free[name]) for name in exponents]
    estimates = [one for one in told if one is not None]
    brought = lives.aged(_ageing(lives, found.at(EXPONENTS[0]), found.at(EXPONENTS[1])))
    if free is None:
        brought = lives.effective
    shape, mean = found.at("life_shape"), found.at("life_mean")
    scale = exp(log(mean) - _log_mean(0.0, shape))
    fit = LifeFit(
        brought,
        shape,
        scale,
        _of_scale(found, shape),
        log_likelihood(brought, scale, shape),
        tuple(estimates),
        _effects(found, lives.names),
        tuple(np.sqrt(np.diag(found.covariance))[2 : 2 + len(lives.names)].tolist()),
        {pair: found.together(*pair) for pair in combinations([one.name for one in estimates], 2)},
        tuple(name for name in ("life_shape", *exponents) if name not in [one.name for one in estimates]),
        widened=widened,
    )
    return fit if only_figures or widened else _with_tests(fit)


EXPONENTS = ("heat_exponent", "sun_exponent")
"""How strongly heat and sun age a roof."""

EXPONENTS_WITHIN = (-2.0, 5.0)
"""Where they are sought; below 0 only chance can put them. [-]"""


def _with_tests(fit: LifeFit) -> LifeFit:
    """Add the test of fit, the points, and what ignoring entry makes of it."""
    lives, ignored = fit.lives, None
    if lives.came_in_late:
        found = _by_library(replace(lives, entry=np.zeros_like(lives.entry)), effects=False)
        ignored = None if found is None else exp(_log_mean(log(found[0]), found[1]))
    if fit.effects:
        return replace(fit, entry_ignored=ignored)
    tested = _fit_chance(lives, fit.scale, fit.shape) if lives.ended >= FEWEST_TO_TEST else None
    points = turnbull(lives, fit.scale, fit.shape)
    return replace(fit, entry_ignored=ignored, fit_chance=tested, points=points)


def _sought(
    lives: RoofLives,
    priors: Mapping[str, Prior],
    tool: Mapping[str, Prior] | None,
    held: tuple[str, ...],
    alone: str = "",
) -> Sought:
    """Find mean, shape, effects of covariates and, with `tool`, how climate ages, from the library's fit.

    The tool's own range joins for what is `held`, and for how climate ages but for the one alone.
    """
    effective = lives.effective
    found_by_library = None if held else _by_library(effective)
    mean, shape, effects = effective.oldest, START_SHAPE, (0.0,) * len(lives.names)
    if found_by_library is not None:
        scale, shape, effects = found_by_library
        mean = exp(_log_mean(log(scale), shape))
    away = np.zeros_like(lives.covariates)
    if lives.names:
        away = lives.covariates - np.average(lives.covariates, axis=0, weights=lives.number)
    middle = priors["life_mean"].likely if held else effective.oldest
    around = middle / FURTHEST, middle * FURTHEST
    widest = (WIDEST_EFFECT / np.maximum(np.abs(away).max(0, initial=1e-9), 1e-9)).tolist()
    free = [
        Free("life_mean", *around, mean, priors.get("life_mean") if "life_mean" in held else None),
        Free(
            "life_shape",
            0.1,
            50.0,
            min(max(shape, 0.1), 50.0),
            priors.get("life_shape") if "life_shape" in held else None,
        ),
        *(
            Free(f"{EFFECT}{name}", -wide, wide, float(effect))
            for name, effect, wide in zip(lives.names, effects, widest, strict=True)
        ),
    ]
    if held:
        free = [replace(one, start=one.prior.likely) if one.prior else one for one in free]
    for one in [tool[name] for name in EXPONENTS] if tool is not None else ():
        free.append(Free(one.name, *EXPONENTS_WITHIN, one.likely, None if one.name == alone else one))
    first = 2 + len(lives.names)

    def likelihood(figures: Array) -> float:
        mean, shape = figures[:2]
        now = effective
        if tool is not None:
            now = lives.aged(_ageing(lives, *figures[first:]))
        if lives.names:
            now = now.aged(np.exp(-away @ figures[2:first]))
        scale = float(mean) / exp(_log_mean(0.0, float(shape)))
        return log_likelihood(now, scale, float(shape)) + _lost(now, effective)

    found = seek(likelihood, free, [alone] if alone else [one.name for one in free])
    return found if tool is not None else _with_likely(found, priors)


def _lost(now: RoofLives, before: RoofLives) -> float:
    """Return what the density of ages known exactly changes by, if years pass faster."""
    exact = (now.lower == now.upper) & (before.lower > 0.0)
    ratio = np.where(exact, now.lower / np.where(exact, before.lower, 1.0), 1.0)
    return float(now.number @ np.log(ratio))


def _with_likely(found: Sought, tool: Mapping[str, Prior]) -> Sought:
    """Return what was found with the exponents at the tool's own, which nothing here depends on."""
    likely = [Free(name, *EXPONENTS_WITHIN, tool[name].likely if name in tool else 0.0) for name in EXPONENTS]
    size = len(found.free) + len(likely)
    covariance = np.zeros((size, size))
    covariance[: len(found.free), : len(found.free)] = found.covariance
    best = np.concatenate([found.best, [one.start for one in likely]])
    return replace(found, free=(*found.free, *likely), best=best, covariance=covariance)


def _ageing(lives: RoofLives, heat: float, sun: float) -> Array:
    """Return the effective years per year where each roof stands, shape (roofs,)."""
    return np.asarray(ageing_factor(lives.site[:, 1] ** heat, lives.site[:, 2] ** sun))


def _of_scale(found: Sought, shape: float) -> Array:
    """Turn the covariance of log mean and log shape into that of log scale and log shape."""
    from scipy.special import digamma

    turn = np.array([[1.0, float(digamma(1.0 + 1.0 / shape)) / shape], [0.0, 1.0]])
    return np.asarray(turn @ found.covariance[:2, :2] @ turn.T)


def _effects(found: Sought, names: tuple[str, ...]) -> tuple[Estimate, ...]:
    """Return what one more of each covariate multiplies a life by."""
    shown = []
    for name in names:
        one = found.estimate(f"{EFFECT}{name}")
        if one is not None:
            shown.append(Estimate(name, exp(one.likely), exp(one.low), exp(one.high)))
    return tuple(shown)


WIDEST_EFFECT = 5.0
"""Largest effect that is sought of a covariate at its furthest from the mean: logarithm of a factor."""

FURTHEST = 100.0
"""A mean life is sought between the oldest roof seen, or the tool's own, over this and times this. [-]"""

START_SHAPE = 3.0
"""Shape at which a fit begins that the library cannot start."""


def _by_library(lives: RoofLives, effects: bool = True) -> tuple[float, float, tuple[float, ...]] | None:
    """Fit by the survival library: scale, shape, and what one more of each covariate adds to log life.

    None where it finds no single maximum, as with ends that all lie in one interval.
    """
    try:
        with np.errstate(all="ignore"), warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return _library_fit(lives, effects)
    except (ValueError, ArithmeticError, np.linalg.LinAlgError):
        return None


def _library_fit(lives: RoofLives, effects: bool) -> tuple[float, float, tuple[float, ...]]:
    """Fit by the survival library."""
    import surpyval as library

    entry = lives.entry - NUDGE if np.any(lives.entry > 0.0) else None
    if not lives.names or not effects:
        model: Any = library.Weibull.fit(  # type: ignore[attr-defined]
            xl=lives.lower, xr=lives.upper, n=lives.number, tl=entry
        )
    else:
        ended = np.isfinite(lives.upper)
        exact = lives.lower == lives.upper
        ends = np.column_stack([lives.lower, np.where(ended, lives.upper, lives.lower)])
        model = library.WeibullAFT.fit(
            x=ends,
            Z=lives.covariates - np.average(lives.covariates, axis=0, weights=lives.number),
            c=np.where(exact, 0, np.where(ended, 2, 1)),
            n=lives.number.astype(int),
            tl=entry,
        )
    scale, shape = (float(value) for value in model.params[:2])
    found = tuple(-float(value) for value in model.params[2:]) if lives.names and effects else ()
    return scale, shape, found


def _log_mean(log_scale: float, shape: float) -> float:
    """Return the logarithm of the mean life."""
    from scipy.special import gammaln

    return float(log_scale + gammaln(1.0 + 1.0 / shape))


def _fit_chance(lives: RoofLives, scale: float, shape: float) -> float | None:
    """Test the Weibull against one whose hazard has factors of its own in bands of age."""
    from scipy.special import chdtrc

    edges = _bands(lives, scale, shape)
    if edges.size < BANDS - 1:
        return None

    def likelihood(working: Array) -> float:
        factors = np.exp(np.concatenate([[0.0, 0.0], working[2:]]))
        size, power = exp(working[0]), exp(working[1])
        lower, upper, entry = (_in_bands(ages, edges, size, power) @ factors for ages in _ends(lives))
        terms = _terms(lives, lower, upper, entry, power)
        exact = lives.lower == lives.upper
        if exact.any():
            at = _hazard(lives.lower, size, power)
            which = np.searchsorted(edges, lives.lower)
            plain = np.log(power) + np.log(at) - np.log(lives.lower) + np.log(factors[which])
            terms = np.where(exact, entry - lower + plain, terms)
        return float(lives.number @ terms)

    start = np.concatenate([[log(scale), log(shape)], np.zeros(BANDS - 2)])
    _, _, best = maximum(likelihood, start)
    gain = max(0.0, 2.0 * (best - log_likelihood(lives, scale, shape)))
    return float(chdtrc(BANDS - 2, gain))


def _bands(lives: RoofLives, scale: float, shape: float) -> Array:
    """Return ages that cut the ends into bands of equal expected number."""
    ages = np.linspace(0.0, lives.oldest, 201)[1:]
    hazard = _hazard(ages, scale, shape)
    last = np.where(np.isfinite(lives.upper), lives.upper, lives.lower)
    watched = np.array([lives.number[(lives.entry < age) & (last >= age)].sum() for age in ages])
    expected = np.cumsum(watched * np.diff(np.concatenate([[0.0], hazard])))
    wanted = expected[-1] * np.arange(1, BANDS) / BANDS
    return np.unique(ages[np.searchsorted(expected, wanted)])


def _in_bands(ages: Array, edges: Array, scale: float, shape: float) -> Array:
    """Return the cumulative hazard up to each age in each band, shape (ages, bands)."""
    cuts = np.concatenate([[0.0], edges, [np.inf]])
    inside = np.clip(ages[:, None], cuts[:-1], cuts[1:])
    with np.errstate(over="ignore"):
        return np.asarray((inside / scale) ** shape - (cuts[:-1] / scale) ** shape)


def turnbull(lives: RoofLives, scale: float, shape: float) -> tuple[Array, Array]:
    """Return the survival that the records give without any shape.

    Parameters
    ----------
    lives : RoofLives
        The records.
    scale, shape : float
        Of the fit: where the points start.

    Returns
    -------
    ages, survival : ndarray, shape (points,)
        At the end of steps of a grid of ages. [years, -]
    """
    import surpyval as library

    step = max(1.0 / 12.0, np.ceil(12.0 * lives.oldest / GRID) / 12.0)
    ended = np.isfinite(lives.upper)
    lower = np.floor(lives.lower / step + 1e-9) * step
    entry = np.minimum(np.floor(lives.entry / step + 1e-9) * step, lower)
    upper = np.where(ended, np.maximum(np.ceil(lives.upper / step - 1e-9) * step, lower + step), np.inf)
    rows, place = np.unique(np.column_stack([lower, upper, entry]), axis=0, return_inverse=True)
    number = np.bincount(place.ravel(), weights=lives.number)
    low, high, came = rows.T
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = library.Turnbull.fit(  # type: ignore[attr-defined]
            xl=low, xr=high, n=number.astype(int), tl=came - NUDGE if np.any(came > 0.0) else None
        )
    start = float(came.min())
    grid = np.arange(start + step, float(np.max(np.where(np.isfinite(high), high, low))) + 0.5 * step, step)
    places = np.searchsorted(model.x, grid + 0.25 * step, side="right") - 1
    share = np.where(places >= 0, np.asarray(model.R, dtype=float)[np.maximum(places, 0)], 1.0)
    share = share * exp(-((start / scale) ** shape))
    falls = np.diff(share, prepend=1.0) < 0.0
    known = falls & (share > 1e-6) & (share < 1.0 - 1e-9)
    return grid[known], share[known]
