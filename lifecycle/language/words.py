"""The verdict: its parts as data, and the sentences that every face prints from them.

Lecture
-------
A verdict says, for one way (the *subject*) against what the owner would do otherwise, if the coach
is kept N years: a word, how much, how sure, and what next. The rule of the word stands below the
faces (`studies.verdict`). Without doubt it is said that every input stands at one value; with doubt
the middle is the median, and where the mean has another sign that is said.

No verdict is given on an answer that nobody gave: whoever is not sure what they would do otherwise
gets the difference from each way of keeping the roof; without a quote, the highest price worth
paying; with trouble reported, "open it first".

Left out: which futures there are (`studies.doubt`); how a comparison is turned into these parts
(`verdict`), what next (`advice`) and what stands beside it (`cautions`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any, TypeVar

from lifecycle.language.labels import cheaper_or_dearer, inner, listed, rounded, years_text
from lifecycle.quantities import about, number_text
from lifecycle.studies.doubt import of_20

Name = TypeVar("Name", str, str | int)
"""What a choice goes by."""

OPEN_FIRST, NO_QUOTE, NO_SINGLE, ONE_WAY = (
    "open it first",
    "no quote yet",
    "no single verdict",
    "only one way",
)
"""Words that are not drawn from a difference of cost."""


@dataclass(frozen=True)
class Spread:
    """Money over the futures: median, 10 % and 90 % points [money], and a chance that goes with it [-]."""

    middle: float
    low: float
    high: float
    chance: float


@dataclass(frozen=True)
class Sureness:
    """What doubt adds to a comparison at likely values, at the likely years kept.

    Parameters
    ----------
    chance : float
        Share of futures in which the subject is cheaper, one within 1 % counting half. [-]
    middle, low, high, mean : float
        Median, 10 % and 90 % points, and mean, of the subject's net savings. [money]
    dearer : float
        Median cost of the dearer of the two ways. [money]
    if_sold : mapping of int to float
        The chance for other years of sale. [-]
    cheapest : str or None
        Name of the way that is cheapest on average; None: not said.
    cheapest_less : float
        How much less it costs than the subject, on average. [money]
    cheapest_often : str
        In how many of 20 futures it is the cheapest of all, in words.
    savings, prices : mapping of (str, int or None) to Spread
        Net savings of the subject, and the highest price worth paying for it, against each way that it
        may be compared with, by year of sale (None: the years kept); where a verdict needs them.
    remarks : tuple of str
        What doubt has to say beside the verdict.
    warnings : tuple of str
        What must be said with the chances.
    """

    chance: float
    middle: float
    low: float
    high: float
    mean: float
    dearer: float
    if_sold: Mapping[int, float] = field(default_factory=dict)
    cheapest: str | None = None
    cheapest_less: float = 0.0
    cheapest_often: str = ""
    savings: Mapping[tuple[str, int | None], Spread] = field(default_factory=dict)
    prices: Mapping[tuple[str, int | None], Spread] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class VerdictParts:
    """The verdict as data.

    Parameters
    ----------
    subject, against : str or None
        Names of the two ways.
    years : float
        Years kept. [years]
    word : str
        The answer in a word.
    middle, low, high : float or None
        Net savings of the subject: positive is cheaper; low and high hold 8 in 10 futures. [money]
    of_20 : int or None
        In how many of 20 futures it is cheaper.
    if_sold : dict of int to int
        The same by other years of sale.
    cheapest_willing : str or None
        Name of the cheapest way that the owner is willing to take.
    next_step : str or None
        What to do next, as a sentence.
    """

    subject: str | None
    against: str | None
    years: float
    word: str
    middle: float | None = None
    low: float | None = None
    high: float | None = None
    of_20: int | None = None
    if_sold: Mapping[int, int] = field(default_factory=dict)
    cheapest_willing: str | None = None
    next_step: str | None = None

    def as_result(self) -> dict[str, Any]:
        """Return the parts as they stand in a result file."""
        parts = asdict(self)
        parts["years"] = int(self.years) if self.years == int(self.years) else self.years
        parts["if_sold"] = {str(year): number for year, number in self.if_sold.items()}
        return parts


@dataclass(frozen=True)
class Verdict:
    """A verdict, as data and as words.

    Parameters
    ----------
    parts : VerdictParts
        The data.
    lines : tuple of str
        The answer, line by line.
    beside : tuple of str
        What stands beside it: what moves it most, what decides if money does not, cautions.
    """

    parts: VerdictParts
    lines: tuple[str, ...]
    beside: tuple[str, ...] = ()


def answer_sentence(parts: VerdictParts, subject: str, against: str) -> str:
    """Return line 1: the word, against what, for how long, how much.

    Parameters
    ----------
    parts : VerdictParts
        With a middle.
    subject, against : str
        Titles of the two ways.

    Examples
    --------
    >>> parts = VerdictParts("coat_now", "keep", 10.0, "probably cheaper", middle=2417.0)
    >>> print(answer_sentence(parts, "Spray now", "A shop reseals every year"))
    Spray now: probably cheaper, compared with what you would do otherwise (a shop reseals every year), \
if you keep it 10 years: about 2,400 cheaper in today's money.
    """
    middle = 0.0 if parts.middle is None else parts.middle
    return (
        f"{subject}: {parts.word}, compared with what you would do otherwise ({inner(against)}), "
        f"if you keep it {years_text(parts.years)}: {cheaper_or_dearer(middle)} in today's money."
    )


def range_sentence(low: float, high: float) -> str:
    """Return line 2: what 8 in 10 futures lie between.

    Parameters
    ----------
    low, high : float
        10 and 90 % points of the net savings. [money]

    Examples
    --------
    >>> range_sentence(-1010.0, 6300.0)
    'It could be 1,000 dearer or 6,300 cheaper (8 in 10).'
    >>> range_sentence(410.0, 6300.0), range_sentence(-6300.0, -410.0)
    ('It is somewhere between 410 and 6,300 cheaper (8 in 10).', \
'It is somewhere between 410 and 6,300 dearer (8 in 10).')
    """
    if low < 0.0 < high:
        return f"It could be {rounded(low)} dearer or {rounded(high)} cheaper (8 in 10)."
    small, large = sorted((abs(low), abs(high)))
    word = "cheaper" if high > 0.0 else "dearer"
    return f"It is somewhere between {rounded(small)} and {rounded(large)} {word} (8 in 10)."


def of_20_sentence(number: int, if_sold: Mapping[int, int]) -> str:
    """Return line 3: in how many of 20 futures it is cheaper, and if sold in other years.

    Parameters
    ----------
    number : int
        Of 20, at the years kept.
    if_sold : mapping of int to int
        Of 20, by other years of sale.

    Examples
    --------
    >>> of_20_sentence(12, {5: 1})
    'Of 20 such futures, it is cheaper in 12 and dearer in 8. If you sell after 5 years: cheaper in 1 of 20.'
    >>> of_20_sentence(0, {}), of_20_sentence(20, {})
    ('It is cheaper in fewer than 1 in 40 such futures.', 'It is dearer in fewer than 1 in 40 such futures.')
    """
    if number in (0, 20):
        rare = "cheaper" if number == 0 else "dearer"
        first = f"It is {rare} in fewer than 1 in 40 such futures."
    else:
        first = f"Of 20 such futures, it is cheaper in {number} and dearer in {20 - number}."
    return " ".join([first, *(_if_sold(year, k) for year, k in if_sold.items())])


def _if_sold(year: int, number: int) -> str:
    """Say in how many of 20 futures it is cheaper if sold after a year."""
    return f"If you sell after {years_text(year)}: cheaper in {many_of_20(number)}."


def mean_sentence(sureness: Sureness) -> str | None:
    """Say that mean and median differ in sign; None if they do not.

    Parameters
    ----------
    sureness : Sureness
        With both.

    Examples
    --------
    >>> mean_sentence(Sureness(0.55, 300.0, -4000.0, 2000.0, -520.0, 12000.0))
    'On average it is about 520 dearer: a few bad futures weigh more than the many good ones.'
    """
    if sureness.middle * sureness.mean >= 0.0:
        return None
    few, many = ("bad", "good") if sureness.mean < 0.0 else ("good", "bad")
    difference = cheaper_or_dearer(sureness.mean)
    return f"On average it is {difference}: a few {few} futures weigh more than the many {many} ones."


def open_it_first(trouble: Sequence[str]) -> tuple[str, ...]:
    """Return the answer to a roof with trouble: nothing is compared.

    Parameters
    ----------
    trouble : sequence of str
        What was reported.

    Examples
    --------
    >>> open_it_first(["stain", "soft spot"])[0]
    'Open it first. Trouble is reported: stain and soft spot.'
    """
    return (
        f"Open it first. Trouble is reported: {listed(trouble)}.",
        "Nothing is compared: what is found inside decides the price of every way.",
        "Spraying over wet wood shuts the water in.",
        OPEN_STEP,
    )


OPEN_STEP = (
    "Next: have the spot opened, or its moisture measured. Then enter what was found, take out the line "
    '"trouble", and compare again.'
)
"""What to do about trouble."""


def highest_price_text(price: float | None) -> str:
    """Return the highest price worth paying.

    Parameters
    ----------
    price : float or None
        Quote at which both ways cost the same; below 0 no price is low enough. [money]

    Examples
    --------
    >>> highest_price_text(8120.0), highest_price_text(-300.0)
    ('about 8,100', 'none, it is dearer even as a gift')
    """
    if price is None:
        return "none can be named, for it would hardly ever be paid"
    return about(price) if price > 0.0 else "none, it is dearer even as a gift"


def highest_price_spread(price: Spread) -> str:
    """Return the highest price worth paying, and what 8 in 10 futures lie between.

    Parameters
    ----------
    price : Spread
        Of the quote at which both ways cost the same. [money]

    Examples
    --------
    >>> highest_price_spread(Spread(8120.0, 4310.0, 12200.0, 0.95))
    'about 8,100 (8 in 10: 4,300 to 12,000)'
    >>> highest_price_spread(Spread(1120.0, -300.0, 3100.0, 0.7))
    'about 1,100 (8 in 10: nothing to 3,100)'
    >>> highest_price_spread(Spread(-900.0, -2300.0, 100.0, 0.2))
    'none, it is dearer even as a gift'
    """
    middle = highest_price_text(price.middle)
    if price.middle <= 0.0:
        return middle
    low = rounded(price.low) if price.low > 0.0 else "nothing"
    return f"{middle} (8 in 10: {low} to {rounded(price.high)})"


def savings_spread(savings: Spread) -> str:
    """Return a difference under doubt in a few words, with the futures in which it is cheaper.

    Parameters
    ----------
    savings : Spread
        Net savings, with the chance that they are above 0.

    Examples
    --------
    >>> savings_spread(Spread(2417.0, -1010.0, 6300.0, 0.6))
    'about 2,400 cheaper (12 of 20)'
    >>> savings_spread(Spread(-2417.0, -6300.0, -1010.0, 0.01))
    'about 2,400 dearer (<1 in 40)'
    """
    number = of_20(savings.chance)
    futures = {0: "<1 in 40", 20: ">39 in 40"}.get(number, f"{number} of 20")
    return f"{cheaper_or_dearer(savings.middle)} ({futures})"


def many_of_20(number: int) -> str:
    """Return so many of 20 in words.

    Examples
    --------
    >>> many_of_20(12), many_of_20(0), many_of_20(20)
    ('12 of 20', 'fewer than 1 in 40', 'more than 39 in 40')
    """
    return {0: "fewer than 1 in 40", 20: "more than 39 in 40"}.get(number, f"{number} of 20")


def shared_out(chances: Mapping[Name, float]) -> dict[Name, int]:
    """Share twenty futures out by chances that add up to 1, so that they add up to 20.

    Parameters
    ----------
    chances : mapping of name to float
        Adding up to 1. [-]

    Returns
    -------
    dict of name to int
        Whole numbers below or above 20 p, the largest remainders up.

    Examples
    --------
    >>> shared_out({"a": 0.334, "b": 0.333, "c": 0.333})
    {'a': 7, 'b': 7, 'c': 6}
    """
    whole = {name: int(20.0 * chance + 1e-9) for name, chance in chances.items()}
    left = 20 - sum(whole.values())
    order = sorted(chances, key=lambda name: whole[name] - 20.0 * chances[name])
    return {name: number + (name in order[:left]) for name, number in whole.items()}


def best_of_20(chances: Mapping[Name, float], name: Name) -> str:
    """Return in how many of 20 futures one choice is the best of all, in words.

    Where twenty futures are shared out the number is the same as there; a share that rounds to none
    or to all is said as it is.

    Parameters
    ----------
    chances : mapping of name to float
        Of every choice, adding up to 1. [-]
    name : str or int
        The choice.

    Examples
    --------
    >>> best_of_20({"a": 0.524, "b": 0.238, "c": 0.238}, "a"), best_of_20({"a": 0.99, "b": 0.01}, "b")
    ('11 of 20', 'fewer than 1 in 40')
    """
    number = shared_out(chances)[name]
    return many_of_20(number if 0 < number < 20 else of_20(chances[name]))


def coaches(chance: float) -> str:
    """Return a chance as so many of 20 coaches, or as one in so many.

    Examples
    --------
    >>> coaches(0.16), coaches(0.006), coaches(0.0)
    ('3 of 20', '1 of 170', 'fewer than 1 in 40')
    """
    if chance <= 0.0 or chance >= 0.05:
        return many_of_20(of_20(chance))
    return f"1 of {number_text(float(f'{1.0 / chance:.2g}'))}"
