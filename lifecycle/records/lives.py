"""How long roofs last: lives as far as they were seen, and a Weibull fitted to them.

Lecture
-------
A roof came into the records at the age `entry`, was last known to stand at `lower`, and was first known
to have ended at `upper` (infinite: it still stood). It contributes, with survival S,

    (S(lower) - S(upper)) / S(entry)

Dividing by S(entry) is *left truncation*: a roof that ended before it could come into the records is
not in them, so that old roofs in the records are the lasting ones. Leaving it out makes lives too long.

From looks: `entry` is the age in the month in which the records begin, if the map states it and the roof
was older than new then; else the age at the first look. A look that finds the end closes the interval
which the look before it (or the entry) opened. Without a stated beginning a roof that is first seen at
its end is left out: it is in the records only because it ended. All ages are in months here and years
in a fit; an end in the month of the look before is taken to lie within that month.

Ready-made intervals have the columns lower and upper, and may have entry, count and covariates. An empty
upper is a roof that stands; equal ends are an age known exactly.

*The life of roofs from records: a Weibull fitted to truncated and censored lives, and how well it fits.*

The fit maximises the sum of ``log((S(lower) - S(upper)) / S(entry))``, with
the density in place of the difference where an age is known exactly, and
``S(t) = exp(-(t / scale) ** shape)``. A survival library does it; the same likelihood is written
down here once more, because three things need it that the library does not have: the tool's own figures
joining records that are too few (`estimate`), the test of fit, and a check of the library.

With covariates z the life is multiplied by ``exp(b z)``: accelerated life, z less its mean.

*Test of fit.* Ages are cut into `BANDS` bands with equal numbers of ends expected by the fit, and the
hazard may be higher or lower by a factor of its own in all bands but two. The gain in log likelihood,
doubled, has about a chi-squared distribution with ``BANDS - 2`` degrees if the Weibull holds.

*Points.* What the records say without any shape: Turnbull's estimate on a grid of ages, truncation
included. With records that start late it is known only from the age at which they start; there it is
put on the fitted line.

Assumed: looks do not depend on how near its end a roof is; coaches do not leave because of their roof.
Left out: a roof's upkeep and place, unless they are covariates; ages are years by the calendar.

Source
------
the likelihood of truncated and interval-censored lives, textbook.
Survival library: surpyval. Turnbull (1976), the empirical distribution with grouped, censored and
truncated data; from memory. Checked against published fits.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from lifecycle.errors import Fault, ScenarioError
from lifecycle.records.columns import COLUMNS, MISSING, ColumnMap, ages, numbers
from lifecycle.records.looks import END, SLACK, Looks
from lifecycle.records.tables import Account, Count, Drop, Sheet, at_lines, drop, need_columns

if TYPE_CHECKING:
    import pandas
import warnings
from collections.abc import Mapping
from dataclasses import field
from math import exp, log
from typing import Any

from lifecycle.records.estimate import (
    FEWEST,
    NINE_IN_TEN,
    Estimate,
    Prior,
    from_working,
    maximum,
    too_few,
)

Array = NDArray[np.float64]


UNSURE = "two days on which it was laid, and no end between: months and years mixed?"
"""Why roofs are left out whose coach seems to have got another unseen."""


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

    def __post_init__(self) -> None:
        if np.any(self.lower > self.upper) or np.any(self.entry > self.lower):
            raise ValueError("needs entry <= lower <= upper in every row")

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
) -> RoofLives:
    """Put equal roofs together.

    Parameters
    ----------
    lower, upper, entry, number, covariates, names, account, covered
        As of `RoofLives`.

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
    rows = np.column_stack([lower, upper, np.broadcast_to(entry, lower.shape), further])
    different, place = np.unique(rows, axis=0, return_inverse=True)
    together = np.bincount(place.ravel(), weights=counts, minlength=len(different)).astype(np.float64)
    low, high, came = different[:, :3].T
    return RoofLives(low, high, came, together, different[:, 3:], names, account, covered)


def lives_from_looks(looks: Looks) -> RoofLives:
    """Turn looks into the lives of roofs.

    Parameters
    ----------
    looks : Looks
        Cleaned.

    Returns
    -------
    RoofLives

    Raises
    ------
    ScenarioError
        If no roof can be used.
    """
    import pandas

    table = pandas.DataFrame(
        {
            "coach": looks.coach,
            "month": looks.month,
            "seen": looks.seen,
            "laid": looks.laid,
            "line": looks.lines,
        }
    )
    roofs, first = _by_roof(table)
    drops: list[Drop] = []
    gone = np.zeros(len(roofs), dtype=bool)

    def leave_out(reason: str, which: NDArray[np.bool_]) -> None:
        new = which & ~gone
        if new.any():
            drops.append(drop(reason, roofs["line"].to_numpy()[new]))
            gone[new] = True

    laid = roofs["laid"].to_numpy()
    last, end = roofs["last"].to_numpy(dtype=float), roofs["end"].to_numpy(dtype=float)
    came = roofs["first"].to_numpy(dtype=float)
    leave_out("no day on which the roof was laid", laid == MISSING)
    leave_out(UNSURE, roofs["unsure"].to_numpy())
    if looks.begin is not None:
        leave_out("a life that ended before the records begin", end < looks.begin)
        came = np.maximum(laid, float(looks.begin))
    else:
        leave_out("only seen at its end: it is in the records because it ended", np.isnan(last))
        leave_out("a single look: nothing is known of it afterwards", (last == came) & np.isnan(end))
    came = np.fmin(came, np.fmin(last, end))
    covariates = looks.covariates[first]
    missing = np.asarray(np.isnan(covariates).any(axis=1), dtype=np.bool_)
    leave_out("a number missing that its life may depend on", missing)
    kept = ~gone
    account = (*looks.account, Count("roofs", len(roofs), tuple(drops), int(kept.sum())))
    if not kept.any():
        left = "; ".join(f"{one.number}: {one.reason}" for one in drops)
        raise ScenarioError([Fault("the records", "must have a roof that can be used", left)])
    lower = np.fmax(last, came)
    upper = np.where(np.isnan(end), np.inf, np.maximum(end, lower + 1.0))
    low, high, entry = ((values - laid)[kept] / 12.0 for values in (lower, upper, came))
    return roof_lives(low, high, entry, None, covariates[kept], looks.names, account, looks.covered)


def _by_roof(table: pandas.DataFrame) -> tuple[pandas.DataFrame, NDArray[np.int64]]:
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
    )
    roofs["end"] = end
    roofs["last"] = before.groupby(sorted_["roof"]).max()
    # Another roof on the coach though nobody saw this one end, or while it was still looked at.
    following = roofs["laid"].shift(-1).where(roofs["coach"].shift(-1) == roofs["coach"])
    unended = roofs["end"].isna() | (roofs["latest"] > following + SLACK)
    unsure = (following.notna() & unended).to_numpy()
    roofs["unsure"] = unsure | np.concatenate([[False], unsure[:-1]])
    return roofs.reset_index(drop=True), roofs["place"].to_numpy(dtype=np.int64)


def read_intervals(sheet: Sheet, known: ColumnMap) -> RoofLives:
    """Read ready-made intervals.

    Parameters
    ----------
    sheet : Sheet
        The records.
    known : ColumnMap
        What its columns mean, and the unit of ages.

    Returns
    -------
    RoofLives

    Raises
    ------
    ScenarioError
        With every column that is missing and every interval that cannot be.
    """
    wanted = {COLUMNS[name]: known.named(name) for name in ("lower", "upper")}
    wanted |= {COLUMNS[name]: known.columns[name] for name in ("entry", "count") if name in known.columns}
    wanted |= {f"the covariate {name}": name for name in known.covariates}
    faults = need_columns(sheet, wanted)
    if faults:
        raise ScenarioError(faults, sheet.source)
    lower = np.nan_to_num(ages(sheet, known.named("lower"), known, faults))
    upper = ages(sheet, known.named("upper"), known, faults)
    upper = np.where(np.isnan(upper), np.inf, upper)
    entry, number = np.zeros(lower.shape), np.ones(lower.shape)
    if known.named("entry") in sheet.names:
        entry = np.nan_to_num(ages(sheet, known.named("entry"), known, faults))
    if known.named("count") in sheet.names:
        number = numbers(
            sheet, known.named("count"), faults, low=1.0, may_be_empty=False, whole=True, what="how many"
        )
    further = [
        numbers(sheet, name, faults, low=-1e9, high=1e9, may_be_empty=False) for name in known.covariates
    ]
    if not faults:
        faults = _impossible(sheet, known, lower, upper, entry)
    if faults:
        raise ScenarioError(list(dict.fromkeys(faults)), sheet.source)
    covariates = np.column_stack(further) if further else None
    account = (Count("rows", len(sheet.rows), (), len(sheet.rows)),)
    lower = np.maximum(lower, entry)
    ends = (lower / 12.0, upper / 12.0, entry / 12.0, number)
    return roof_lives(*ends, covariates=covariates, names=known.covariates, account=account)


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
        What it was fitted to.
    shape, scale : float
        Of the Weibull. [-, years]
    covariance : ndarray, shape (2, 2)
        Of log(scale) and log(shape).
    log_likelihood : float
        At the fit.
    estimates : tuple of Estimate
        life_mean and life_shape.
    effects : tuple of Estimate
        By covariate: what one unit more multiplies the life by.
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
    entry_ignored: float | None = None
    fit_chance: float | None = None
    points: tuple[Array, Array] = field(default_factory=lambda: (np.empty(0), np.empty(0)))
    widened: bool = False

    @property
    def together(self) -> float:
        """Correlation of mean life and shape, in logarithms. [-]"""
        covariance = _mean_and_shape(self.covariance, self.shape)
        return float(covariance[0, 1] / np.sqrt(covariance[0, 0] * covariance[1, 1]))

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
        If there are too few ends.
    """
    if lives.ended < FEWEST:
        if priors is None:
            raise too_few(lives.ended, "life ends", source)
        return _widened(lives, priors)
    scale, shape, covariance, effects = _by_library(lives)
    figures = _estimates(scale, shape, covariance)
    top = log_likelihood(lives, scale, shape)
    if only_figures:
        return LifeFit(lives, shape, scale, covariance, top, figures, effects)
    ignored = None
    if lives.came_in_late:
        free = RoofLives(lives.lower, lives.upper, np.zeros_like(lives.entry), lives.number, lives.covariates)
        naive_scale, naive_shape, _, _ = _by_library(free, effects=False)
        ignored = exp(_log_mean(log(naive_scale), naive_shape))
    return LifeFit(
        lives,
        shape,
        scale,
        covariance,
        top,
        figures,
        effects,
        ignored,
        None if effects or lives.ended < FEWEST_TO_TEST else _fit_chance(lives, scale, shape),
        (np.empty(0), np.empty(0)) if effects else turnbull(lives, scale, shape),
    )


def _by_library(lives: RoofLives, effects: bool = True) -> tuple[float, float, Array, tuple[Estimate, ...]]:
    """Fit by the survival library: scale, shape, covariance of their logarithms, effects."""
    import surpyval as library

    entry = lives.entry - NUDGE if np.any(lives.entry > 0.0) else None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
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
        covariance = np.asarray(model.covariance(), dtype=float)
    scale, shape = (float(value) for value in model.params[:2])
    per = np.array([scale, shape])
    found = tuple(
        from_working(name, -float(model.params[place]), float(np.sqrt(covariance[place, place])))
        for place, name in enumerate(lives.names if effects else (), start=2)
    )
    return scale, shape, covariance[:2, :2] / np.outer(per, per), found


def _log_mean(log_scale: float, shape: float) -> float:
    """Return the logarithm of the mean life."""
    from scipy.special import gammaln

    return float(log_scale + gammaln(1.0 + 1.0 / shape))


def _mean_and_shape(covariance: Array, shape: float) -> Array:
    """Turn the covariance of log scale and log shape into that of log mean and log shape."""
    from scipy.special import digamma

    turn = np.array([[1.0, -float(digamma(1.0 + 1.0 / shape)) / shape], [0.0, 1.0]])
    return np.asarray(turn @ covariance @ turn.T)


def _estimates(scale: float, shape: float, covariance: Array) -> tuple[Estimate, Estimate]:
    """Return mean life and shape."""
    errors = np.sqrt(np.diag(_mean_and_shape(covariance, shape)))
    return (
        from_working("life_mean", _log_mean(log(scale), shape), float(errors[0])),
        from_working("life_shape", log(shape), float(errors[1])),
    )


def _widened(lives: RoofLives, priors: Mapping[str, Prior]) -> LifeFit:
    """Let few records move the tool's own figures."""
    mean, shape_prior = priors["life_mean"], priors["life_shape"]

    def cost(working: Array) -> float:
        log_scale, log_shape = working
        return (
            log_likelihood(lives, exp(log_scale), exp(log_shape))
            + mean.log_density(_log_mean(log_scale, exp(log_shape)))
            + shape_prior.log_density(log_shape)
        )

    start = np.array([mean.middle - _log_mean(0.0, shape_prior.likely), shape_prior.middle])
    best, covariance, _ = maximum(cost, start)
    scale, shape = exp(best[0]), exp(best[1])
    return LifeFit(
        lives,
        shape,
        scale,
        covariance,
        log_likelihood(lives, scale, shape),
        _estimates(scale, shape, covariance),
        widened=True,
    )


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
