"""What one roof shows from new: new leaks, hidden leaks, damage, renewal; one number for each draw.

Lecture
-------
A *spell* (`evaluation.spell`) of a roof laid in month 0 holds everything; here it is read as people
in the trade would put it. With b(t) the joint leaks, age leaks and punctures that start in month t
on a roof that stands, M(t) the mass that stands, N(t) a Poisson mean:

- a *year of age* a is the months 12 a + 1 ... 12 a + 12;
- the chance of a new leak in it is ``1 - exp(-sum of b)``, given that the roof stands;
- *when stripped at age a*: in step 4 of month 12 a, in the place of that day's visits, after its
  signs. The chance of any hidden leak is ``1 - exp(-N)``, N all leaks hidden then; of a rotten deck
  the same with those hidden for longer than `severe_after`;
- visits at the end of a year of age belong to the next one, as step 4 follows a sale;
- *leak damage a year* is the expected damage of the leaks found and uncovered in some years of age
  over the expected years that the roof stands in them, before insurance and warranty;
- *found late* is the share, of the leaks found and uncovered, of those hidden for longer than
  `severe_after`;
- *mean life* is the mean age at which roofs are renewed, as they are found: bad jobs and leaks that force
  a new roof are in it;
- *renewed by age a* is ``1 - M(12 a)`` when a sale would happen, unplanned renewals only;
- *stripped because of trouble*: a leak was found that forces it. Whoever opens roofs sees mostly
  those, so what is seen there is not what all roofs hide.

Assumption: leaks start independently, so that hidden ones are Poisson. Left out: end leaks among
new leaks (they announce the end of the roof); leaks still hidden at the end among those found late.

Source: derived from the model.
"""

from __future__ import annotations

import numpy as np

from lifecycle.evaluation.hiding import sign_chance
from lifecycle.evaluation.spell import Spell
from lifecycle.evaluation.timeline import END
from lifecycle.quantities import Array, Flags


def new_leaks(spell: Spell, first: int, last: int) -> Array:
    """Leaks, end leaks left out, that start in some years of age if the roof stands. [leaks]"""
    return np.asarray(spell.course.born[:END, _months(first, last)].sum((0, 1)))


def chance_of_new_leak(spell: Spell, first: int, last: int) -> Array:
    """Yearly chance of a new leak, the mean over some years of age, if the roof stands. [1/year]"""
    chances = [-np.expm1(-new_leaks(spell, age, age)) for age in range(first, last + 1)]
    return np.asarray(np.mean(chances, axis=0))


def leak_damage_a_year(spell: Spell, first: int, last: int) -> Array:
    """Damage of leaks found and uncovered in some years of age, for each year that the roof stands.

    Before insurance and warranty. [money/year]
    """
    months = _months(first, last)
    flow = spell.flows["leak damage"]
    visited = _visited_in(spell, months)
    damage = flow.after[visited].sum(0)
    if flow.before is not None:
        damage = damage + flow.before[months].sum(0)
    return _share(damage, spell.standing.start[months].sum(0) / 12.0)


def chance_of_hidden_leak(spell: Spell, age: int) -> Array:
    """Chance that stripping the roof at an age uncovers any leak, if it stands then. [-]"""
    month = 12 * age
    hidden = spell.hidden
    unseen = 1.0 - np.asarray(sign_chance(spell.leaks))
    number = unseen * hidden.open[month] + hidden.silent[month]
    return np.asarray(-np.expm1(-number))


def chance_of_rotten_deck(spell: Spell, age: int) -> Array:
    """Chance that stripping the roof at an age uncovers a deck that is gone, if it stands. [-]"""
    unseen = 1.0 - np.asarray(sign_chance(spell.leaks))
    return np.asarray(-np.expm1(-unseen * _severe(spell)[12 * age]))


def renewed_by(spell: Spell, age: int) -> Array:
    """Share of roofs without a planned change that are renewed by an age. [-]"""
    return np.asarray(1.0 - spell.standing.at_sale[12 * age])


def mean_life(spell: Spell) -> Array:
    """Mean age at which roofs are renewed, as they are found. [years]

    For a roof from new, without a planned change, over a time in which nearly all are renewed.
    """
    return np.asarray(spell.standing.start[1:].sum(0) / 12.0)


def found_late(spell: Spell, age: int) -> Array:
    """Share found after the deck is gone of the leaks found and uncovered up to an age; 0 if none. [-]"""
    months = _months(0, age - 1)
    chosen = _visited_in(spell, months)
    days, misses = spell.days[chosen], spell.course.misses[chosen]
    shown = np.asarray(sign_chance(spell.leaks))
    left = 1.0 - shown
    stood = spell.standing

    def found(may_be_found: Array, silent: Array) -> Array:
        """Return the leaks found by signs, by visits, and uncovered by stripping."""
        number, silent_then = may_be_found[months], silent[months]
        early = stood.start[months] * shown * number
        early += stood.renewed_before[months] * (left * number + silent_then)
        on_days = left * may_be_found[days]
        late = stood.at_sale[days] * (1.0 - misses) * on_days
        late += stood.renewed_after[chosen] * (misses * on_days + silent[days])
        return np.asarray(early.sum(0) + late.sum(0))

    hidden = spell.hidden
    severe = _severe(spell)
    return _share(found(severe, np.zeros_like(severe)), found(hidden.open, hidden.silent))


def _months(first: int, last: int) -> slice:
    """Return the months of some years of age."""
    return slice(12 * first + 1, 12 * last + 13)


def _visited_in(spell: Spell, months: slice) -> Flags:
    """Whether each day of visits belongs to some years of age: a day that ends a year opens the next."""
    return np.asarray((spell.days >= months.start - 1) & (spell.days < months.stop - 1))


def _severe(spell: Spell) -> Array:
    """Return the leaks hidden past `severe_after`, by month, before its signs."""
    return np.asarray(spell.hidden.severe + spell.hidden.severe_end)


def _share(part: Array, whole: Array) -> Array:
    """Return a part of a whole; 0 where there is no whole."""
    return np.divide(part, whole, out=np.zeros_like(part), where=whole > 0.0)
