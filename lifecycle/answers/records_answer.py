"""What the records say: the cleaning account, the estimates, how far they carry; in words and as data.

Lecture
-------
In this order: what became of the rows; the figures with their ends; whether the curve fits; what cannot
be told apart; of whom it holds. Nothing of the file but its name and its months is repeated: no
identifier, no remark, no day.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

import lifecycle
from lifecycle.answers.shared import SCHEMA
from lifecycle.answers.tables import Row, laid_out
from lifecycle.files import fields
from lifecycle.language.labels import counted, listed
from lifecycle.language.words import many_of_20
from lifecycle.quantities import number_text
from lifecycle.records.estimate import FEWEST, Estimate
from lifecycle.records.hidden import HiddenFit
from lifecycle.records.joints import JointFit
from lifecycle.records.lives import LifeFit
from lifecycle.records.tables import Account
from lifecycle.records.tuning import PLACES, WEAKEST, Exchanged
from lifecycle.studies.doubt import of_20

SECTIONS = {"roof": "roofs", "leaks": "leaks", "figures": "visits", "climate": "climate"}
"""Section of the field metadata that says what a figure means."""

DOUBTFUL = 0.05
"""Chance of a misfit by luck below which a fit is called bad. [-]"""

ALIKE = 0.7
"""Correlation from which two figures are said to be hard to tell apart. [-]"""


def account_lines(account: Account) -> list[str]:
    r"""Say what became of the rows.

    Parameters
    ----------
    account : Account
        Adds up.

    Examples
    --------
    >>> from lifecycle.records.tables import Count, Drop
    >>> print("\n".join(account_lines((Count("looks", 10, (Drop("no date", 3, (2, 5, 9)),), 7),))))
    looks: 10, of which 3 left out, 7 used
    - 3: no date (lines 2, 5, 9)
    """
    lines = []
    for count in account:
        lines.append(
            f"{count.what}: {count.found:,}, of which {count.left_out:,} left out, {count.kept:,} used"
        )
        for drop in count.drops:
            more = " ..." if drop.number > len(drop.lines) else ""
            where = f"line{'s' if len(drop.lines) > 1 else ''} {', '.join(map(str, drop.lines))}{more}"
            lines.append(f"- {drop.number:,}: {drop.reason} ({where})")
    return lines


def estimate_lines(estimates: Iterable[Estimate]) -> list[str]:
    """Lay the estimates out as a table; no lines where there are none.

    Parameters
    ----------
    estimates : iterable of Estimate
        Figures of a scenario.
    """
    rows = [
        Row(_label(one.name), tuple(number_text(value, 3) for value in (one.likely, one.low, one.high)))
        for one in estimates
    ]
    heads = ("likely", "low", "high")
    return laid_out(rows, 3, heads=heads, corner="8 in 10: low to high") if rows else []


def _label(name: str) -> str:
    """Return a figure in plain words, with its unit."""
    known = fields()
    field = known[SECTIONS[PLACES[name]]]["finds" if name == "look_finds" else name]
    return f"{field.label}, {field.unit}" if field.unit != "-" else field.label


def _plain(name: str) -> str:
    """Return a figure in plain words, without unit."""
    return (
        "the chance that a look finds a leak" if name == "look_finds" else f"the {_label(name).split(',')[0]}"
    )


def life_lines(fit: LifeFit) -> list[str]:
    """Say how far the records of lives carry.

    Parameters
    ----------
    fit : LifeFit
        Fitted.
    """
    lives = fit.lives
    lines = [f"{lives.ended:,} of {counted(lives.roofs, 'roof')} ended while somebody watched."]
    if fit.widened:
        lines.append(_widened(lives.ended, "life ends"))
    if fit.entry_ignored is not None:
        lines.append(
            f"{lives.came_in_late:,} were not new when they came into the records. Roofs that ended before "
            "are missing there, and that is reckoned with; if not, the mean life would come out as "
            f"{number_text(fit.entry_ignored, 3)} years."
        )
    lines += [_fits(fit.fit_chance, "a Weibull life")] if not fit.effects else []
    lines += [
        f"One more of {effect.name} makes the life {number_text(effect.likely, 3)} times as long "
        f"({number_text(effect.low, 3)} to {number_text(effect.high, 3)})."
        for effect in fit.effects
    ]
    age = well_watched(fit)
    mean = fit.estimates[0].likely
    lines.append(
        f"Beyond an age of {number_text(age, 2)} years fewer than {FEWEST} roofs were watched: what is said "
        "of older ones is the curve's, not the records'."
        + (" The mean life lies there." if mean > age else "")
    )
    if abs(fit.together) >= ALIKE:
        other = "and less alike" if fit.together < 0.0 else "and more alike"
        lines.append(
            f"These records cannot well tell a longer life {other} from a shorter one: the two figures go "
            f"together (correlation {fit.together:.1f})."
        )
    lines += [*lives.notes, *_climate_lines(fit), _stands(lives.brought)]
    lines.append(
        "It holds for roofs like these, looked after as these are; the tool counts years of a roof whose "
        "joints are kept sealed."
    )
    return lines


def _climate_lines(fit: LifeFit) -> list[str]:
    """Say what records of several places tell of the climate."""
    if fit.lives.places < 2:
        return []
    told = [one.name for one in fit.estimates if PLACES[one.name] == "climate"]
    lines = []
    if told:
        figures = listed(_plain(name) for name in told)
        lines.append(
            f"These records of {fit.lives.places} climates tell {figures} more narrowly than the tool's own "
            "guess does."
        )
    kept = [name for name in fit.kept if PLACES[name] == "climate"]
    if kept:
        figures = listed(_plain(name) for name in kept)
        lines.append(
            f"These records of {fit.lives.places} climates do not tell {figures}: the tool's own guess "
            "stays, and its doubt is in the ends above."
        )
    return lines


def _stands(brought: bool) -> str:
    """Say whether figures are those of the reference, or of where the records stand."""
    if brought:
        return (
            "Place and size of the records are taken out: the figures are those of the tool's reference "
            "coach in its reference climate, and a scenario puts its own place and size on top."
        )
    return (
        "Nobody says where these coaches stand and how long they are: the figures hold there, and cannot be "
        "written into a scenario before a column map says it."
    )


def well_watched(fit: LifeFit) -> float:
    """Return the highest age at which enough roofs were watched. [years]

    Parameters
    ----------
    fit : LifeFit
        Any.
    """
    lives = fit.lives
    last = np.where(np.isfinite(lives.upper), lives.upper, lives.lower)
    order = np.argsort(-last)
    enough = np.flatnonzero(np.cumsum(lives.number[order]) >= FEWEST)
    return float(last[order][enough[0]]) if enough.size else 0.0


def joint_lines(fit: JointFit) -> list[str]:
    """Say how far the records of joint leaks carry.

    Parameters
    ----------
    fit : JointFit
        Fitted.
    """
    epochs = fit.epochs
    lines = [
        f"{counted(epochs.found, 'leak')} in {epochs.years:,.0f} years of watching; "
        f"{epochs.found_nothing:,} looks found nothing."
    ]
    if fit.widened:
        lines.append(_widened(epochs.found, "leaks"))
    if epochs.has_reason:
        lines.append(
            f"{epochs.by_complaint:,} times signs brought the coach in; routine looks found "
            f"{counted(epochs.by_routine, 'leak')}."
        )
    else:
        lines.append(
            "Nothing says why anybody looked. So this holds among coaches brought in, with all that was "
            "there taken to be found at each look; how fast signs show a leak, and how well a look finds "
            "one, stay unknown."
        )
    if epochs.has_reason and fit.kept:
        kept = listed(_plain(name) for name in fit.kept)
        lines.append(
            f"These records alone do not tell {kept}: the tool's own range joined them, and its doubt is in "
            "the ends above."
        )
    lines.append(_fits(fit.fit_chance, "leaks that grow so with the age of the joints"))
    lines += [_suspicion(fit)] if epochs.has_reason else []
    for (one, other), rank in fit.alike.items():
        lines.append(
            f"These records cannot well tell {_plain(one)} from {_plain(other)} (correlation {rank:.1f})."
        )
    lines += [*epochs.notes, _where(epochs.unplaced), _stands(epochs.sites.known)]
    lines.append(
        "The leaks counted are such as can be found; silent ones come on top. The figure is that of an "
        "average coach."
    )
    return lines


def _suspicion(fit: JointFit) -> str:
    """Say whether looks on suspicion seem to be among the routine ones."""
    if fit.suspicion_chance is None:
        return (
            "Whether looks on suspicion were written down as routine cannot be seen from so few leaks: if "
            "they were, roofs leak less than these figures say."
        )
    if fit.suspicion_chance < DOUBTFUL:
        return (
            "Routine looks find leaks soon after the look before, where few can have started: looks on "
            "suspicion seem to be written down as routine. Then roofs leak less than these figures say; "
            "have them written down as complaints."
        )
    return (
        "Routine looks find no more leaks soon after another look than they should: none seem made on "
        "suspicion."
    )


def _where(unplaced: float) -> str:
    """Say which leaks are taken to be at joints."""
    if unplaced <= 0.0:
        return "Only leaks at joints are counted: seams, edges and flanges of fixtures."
    share = "no leak" if unplaced >= 1.0 else f"{100.0 * unplaced:.0f} % of the leaks"
    said = f"Of {share} it is said" if unplaced >= 1.0 else f"Of {share} it is not said"
    return (
        f"{said} where it was. So the tool's own punctures and leaks by age are taken to be among these, "
        "within their own range; else they would be counted twice. A column that says where each leak was "
        "tells more."
    )


def hidden_lines(fit: HiddenFit) -> list[str]:
    """Say what stripped roofs hid, and how far it carries.

    Parameters
    ----------
    fit : HiddenFit
        Fitted.
    """
    sheets, wood = fit.sheets, fit.allowance
    lines = [
        f"Of {counted(sheets.roofs, 'stripped roof')} {sheets.not_sound:,} had wood that was not sound, "
        f"{sheets.rotten:,} a rotten deck."
    ]
    if fit.widened:
        lines.append(_widened(sheets.not_sound, "decks that were not sound"))
    lines.append(
        f"Allowance in a quote: new wood in {_jobs(wood.share)}, a rotten deck in {_jobs(wood.share_rotten)}."
    )
    if wood.area_middle is not None and wood.area_nine_in_ten is not None:
        lines.append(
            f"Where there is new wood (area known of {wood.areas:,}), the middle job takes "
            f"{number_text(wood.area_middle, 2)} and 9 of 10 take no more than "
            f"{number_text(wood.area_nine_in_ten, 2)}, in the unit of the sheets: that much a price by area "
            "should allow."
        )
    else:
        lines.append(f"The area of new wood is known of fewer than {FEWEST} jobs: too few to say how much.")
    if fit.kept:
        kept = listed(_plain(name) for name in fit.kept)
        lines.append(
            f"These sheets alone do not tell {kept}: the tool's own range joined them, and its doubt is in "
            "the ends above."
        )
    lines.append(_fits(fit.fit_chance, "roofs that hide so with their age"))
    if abs(fit.together) >= ALIKE:
        lines.append(
            "These sheets cannot well tell many silent leaks from many leaks by age "
            f"(correlation {fit.together:.1f})."
        )
    if not sheets.has_reason:
        lines.append(
            "Nothing says why these roofs were stripped. Most are stripped because of trouble, so all roofs "
            "are likely better than these."
        )
    lines.append(_stands(sheets.brought))
    lines.append(
        "All other figures stand at their likely values: a wrong joint leak rate makes these wrong too."
    )
    return lines


def _jobs(share: Estimate) -> str:
    """Return a share as so many of 20 jobs, with its ends.

    Examples
    --------
    >>> _jobs(Estimate("a", 0.2, 0.18, 0.26)), _jobs(Estimate("a", 0.0, 0.0, 0.0))
    ('4 of 20 jobs (4 to 5 of 20)', 'fewer than 1 in 40 jobs')
    """
    likely, low, high = (of_20(value) for value in (share.likely, share.low, share.high))
    jobs = f"{many_of_20(likely)} jobs"
    return jobs if low == high else f"{jobs} ({low} to {high} of 20)"


def _widened(events: int, what: str) -> str:
    """Say that the tool's own figures joined."""
    return (
        f"{events} {what} are too few for figures of their own: the tool's own figures stand here, moved by "
        "what these records say."
    )


def _fits(chance: float | None, what: str) -> str:
    """Say how well a curve fits."""
    if chance is None:
        return f"Too little was seen to test whether {what} is the right curve."
    often = max(1, round(100.0 * chance))
    by_luck = f"a misfit as large comes by luck in {often} of 100 such records"
    if chance < DOUBTFUL:
        return f"The curve does not fit well ({by_luck}, or fewer): read these figures with care."
    return f"The curve fits: {by_luck}."


def tuned_lines(
    exchanged: Sequence[Exchanged], together: Mapping[tuple[str, str], float], place: str
) -> list[str]:
    """Say which figures of a scenario were exchanged, and which go together.

    Parameters
    ----------
    exchanged : sequence of Exchanged
        Before and after.
    together : mapping of (str, str) to float
        Rank correlations of the estimates. [-]
    place : str
        Where the new scenario is.
    """
    lines = [f'Scenario: {place}, with these ranges, basis "record":']
    for one in exchanged:
        after = " ... ".join(
            number_text(value, 3) for value in (one.after.low, one.after.likely, one.after.high)
        )
        if one.before is None:
            before = "not stated"
        else:
            numbers = [one.before.low, one.before.likely, one.before.high]
            shown = " ... ".join(number_text(value, 3) for value in dict.fromkeys(numbers))
            before = f"{shown} [{one.before.basis}]"
        lines.append(f"- {one.path}: {after} (was {before})")
    names = [one.path.rpartition(".")[2] for one in exchanged]
    for (a, b), rank in together.items():
        if a in names and b in names and abs(rank) >= WEAKEST:
            lines.append(f"- together: {_going_together(a, b, rank)}")
    return lines


def _going_together(one: str, other: str, rank: float) -> str:
    """Say how two figures go together, and why.

    Examples
    --------
    >>> _going_together("joint_leaks_ten_years", "sign_years", 0.371).partition(" (rank")[2]
    ' 0.37): more of both, or less of both, explains as many leaks'
    """
    what = "ends" if {one, other} & {"life_mean", "life_shape"} else "leaks"
    how = "more of the one and less of the other" if rank < 0.0 else "more of both, or less of both,"
    first, second = (_label(name).partition(",")[0] for name in (one, other))
    return f'"{first}" and "{second}" (rank {rank:.2f}): {how} explains as many {what}'


def records_result(
    kind: str,
    source: str,
    account: Account,
    estimates: Iterable[Estimate],
    said: list[str],
    fit_chance: float | None,
    more: dict[str, Any],
) -> dict[str, Any]:
    """Return the answer as plain data.

    Parameters
    ----------
    kind : str
        "life", "joints" or "hidden".
    source : str
        What the scenario gets as source.
    account : Account
        Adds up.
    estimates : iterable of Estimate
        Figures.
    said : list of str
        The sentences.
    fit_chance : float or None
        Test of fit. [-]
    more : dict
        What only this kind has.
    """
    return {
        "schema": SCHEMA,
        "for": kind,
        "source": source,
        "account": [
            {
                "what": count.what,
                "found": count.found,
                "left_out": [{"reason": drop.reason, "number": drop.number} for drop in count.drops],
                "used": count.kept,
            }
            for count in account
        ],
        "estimates": {
            one.name: {"low": one.low, "likely": one.likely, "high": one.high, "shape": one.shape}
            for one in estimates
        },
        "fit_chance": fit_chance,
        "said": said,
        **more,
        "made_by": {"version": lifecycle.__version__, "method": "maximum likelihood"},
    }
