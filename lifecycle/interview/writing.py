"""The answers to the seven questions, written down as a scenario to read and change.

Lecture
-------
What is not asked is a shared figure, named by `like = "shared"`; what was answered is written as a
number with a comment. The answers themselves stand at the end as `[answers]`. "not sure" means:

- otherwise: every shipped plan is compared; the file needs a base case and takes the one named in
  the data, but no single verdict may be given;
- keep, reseal_price, hour_value: the shared range stands;
- quote: the price of spraying is the shared one, and the highest price worth paying is the answer;
- seal_age: as old as the roof ("never" is the same);
- covering: a membrane; warranty_years: none; warranty_in_writing: spoken;
- length, place: the reference coach, the reference climate: the figures of the roofs hold as written;
- trouble: nobody looked, so nothing is known of the roof today. An empty list means that somebody
  looked and saw nothing: the leaks that such a look would have found are thinned.

The owner's own ways are left out if the owner does not go up; a shop then does the looks in between
of a plan that needs them. Which other ways are offered, and how many of them stand ready, is in the data
(`questions.toml`); the rest stand in the file as other ways (`aside = true`). The past upkeep is taken to
be what the owner would do otherwise.

The prices of a new roof are scaled by the length, as numbers of the written file; what length, place
and cover do to the roofs is left to the sections `[coach]` and `[climate]` (`site`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from datetime import date

from lifecycle import files
from lifecycle.errors import ScenarioError
from lifecycle.interview.answers import NOT_SURE, RANGE, Answers, faults, parts, seen_of
from lifecycle.interview.offers import Offer, base_plan, called, offered, plan_of, standing, title_of
from lifecycle.interview.site import site_text
from lifecycle.interview.values import amount, noted, value_text
from lifecycle.reading.reader import is_number
from lifecycle.reading.upkeep import all_plans
from lifecycle.scenario import Seen

COATING_QUOTE = "coating_quote"
"""Figure of the quote that was told."""


def scenario_text(answers: Answers, *, base_date: date) -> str:
    """Write `answers` down as a commented scenario.

    Parameters
    ----------
    answers : mapping
        Keys and values of `[answers]`, lengths in feet. A part that is missing is "not sure".
    base_date : date
        Day from which the comparison counts.

    Returns
    -------
    str
        TOML that loads and compares, the answers among it.

    Raises
    ------
    ScenarioError
        If an answer is missing, not allowed, or contradicts another; all faults at once.

    Examples
    --------
    >>> text = scenario_text(
    ...     {"otherwise": "own_touch_up", "keep": 8, "quote": 8130, "roof_age": 14},
    ...     base_date=date(2027, 4, 1),
    ... )
    >>> text.splitlines()[0]
    '# Written from the answers to seven questions; they stand at the end.'
    """
    wrong = faults(answers)
    if wrong:
        raise ScenarioError(wrong)
    known = {key: answers.get(key, NOT_SURE) for key in parts()}
    sections = (
        _head(known, base_date),
        _owner(known),
        site_text(known, _length(known)),
        _figures(known),
        _roofs(known),
        _existing(known),
        _ways(known),
        _answers(answers),
    )
    return "\n".join(section for section in sections if section)


def _head(known: Answers, base_date: date) -> str:
    """Write title, years and rates."""
    longest = known["keep"]["high"] if isinstance(known["keep"], Mapping) else known["keep"]
    shared_years = files.data("shared.toml")["study"]["study_period"]
    years = math.ceil(longest) if is_number(longest) and longest > shared_years else None
    return "\n".join(
        [
            *noted("head"),
            "",
            "schema = 1",
            f'title = "A coach with a roof of {_age_text(known["roof_age"])}"',
            'currency = "USD"',
            'units = "us"',
            "",
            "[study]",
            'like = "shared"',
            f"base_date = {base_date.isoformat()}",
            *([f"study_period = {years}  # years shown: as long as you may keep it"] if years else []),
            "",
        ]
    )


def _owner(known: Answers) -> str:
    """Write years kept, worth of an hour, who climbs; leaks as shared."""
    lines = ["[owner]", 'like = "shared"']
    if known["keep"] == NOT_SURE:
        lines += noted("keep_not_sure")
    else:
        lines += [
            *noted("keep"),
            f"holding_period = {amount(known['keep'], 'judgement', 'your answer')}",
        ]
    if known["hour_value"] == NOT_SURE:
        lines += noted("hour_value_not_sure")
    else:
        lines += [
            *noted("hour_value"),
            f"hour_value = {amount(known['hour_value'], 'judgement', 'your answer')}",
        ]
    if known["climbs"] == NOT_SURE:
        lines += noted("climbs_not_sure")
    else:
        lines += [
            *noted("climbs"),
            f"climbs = {value_text(known['climbs'])}",
        ]
    if known["climbs"] is not False and known["climbs_in_ten_years"] is False:
        lines += [
            *noted("stops_climbing"),
            "climbs_in_ten_years = false",
        ]
    return "\n".join([*lines, "", "[leaks]", 'like = "shared"', ""])


def _figures(known: Answers) -> str:
    """Write the prices that were told to the owner."""
    lines = []
    if known["reseal_price"] != NOT_SURE:
        price = amount(known["reseal_price"], "offer", "your answer: what a shop asks")
        lines += [*noted("reseal_price"), f"shop_reseal_cost = {price}"]
    if known["quote"] != NOT_SURE:
        lines += [
            f"{noted('quote')[0]} {_a_foot(known)}",
            f"{COATING_QUOTE} = {amount(known['quote'], 'offer', 'your answer: the quote, with tax')}",
        ]
    return "\n".join(["[figures]", *lines, ""]) if lines else ""


def _a_foot(known: Answers) -> str:
    """Say what the quote is for, if that is known."""
    quote, feet, by = known["quote"], known["quoted_length"], known["quoted_by"]
    said: Mapping[str, str] = files.data("words/written.toml")["written"]["a_foot"]
    if feet == NOT_SURE:
        return said["unknown"]
    price = quote["likely"] if isinstance(quote, Mapping) else quote
    return said[by].format(feet=f"{feet:g}", price=f"{price / feet:,.0f}")


def _roofs(known: Answers) -> str:
    """Write the roof that stands under each plan, and the coating."""
    base, roof = base_plan(known), standing(known)
    reference = files.shared()["coach"]
    feet = _length(known)
    sprayed = known["quoted_length"] if known["quoted_by"] == "sprayed" else NOT_SURE
    share = reference["sprayed_share"]["likely"]
    scale = feet / reference["reference_length"]["value"] if feet else None
    sprayed_scale = (
        sprayed / (share * reference["reference_length"]["value"]) if is_number(sprayed) else scale
    )
    lines = [
        *noted("roof", roof=called(known)),
        f"[roofs.{roof}]",
        f'like = "{roof}"',
        f'plan = "{plan_of(known, base)}"',
        *_scaled(roof, scale, f"{feet:g} ft" if feet else ""),
    ]
    for way in offered(known):
        if way.keeps:
            lines += ["", f"[roofs.{roof}_{way.name}]", f'like = "{roof}"', *_upkeep(known, way)]
    lines += [
        "",
        *noted("coating", roof=called(known)),
        "[roofs.coating]",
        'like = "coating"',
        *_warranty(known),
        *_scaled(
            "coating", sprayed_scale, f"{sprayed:g} sprayed ft" if is_number(sprayed) else f"{feet or 0:g} ft"
        ),
        "",
    ]
    return "\n".join(lines)


def _upkeep(known: Answers, way: Offer) -> list[str]:
    """Write the plan of a way, or the jobs of what the owner would do otherwise with its own."""
    if "plan" in way.data:
        return [f'plan = "{plan_of(known, way.data["plan"])}"']
    jobs = all_plans(files.shared())[plan_of(known, base_plan(known))]["membrane"]
    return ["visits = [", *(f"  {value_text(job)}," for job in (*jobs, *way.data["jobs"])), "]"]


def _warranty(known: Answers) -> list[str]:
    """Write the warranty that the shop gives."""
    years = known["warranty_years"]
    if not is_number(years) or years <= 0:
        return []
    said = known["warranty_in_writing"] is True
    return [
        *noted("warranty"),
        f"warranty_years = {amount(years, 'offer', 'your answer: as the shop states it')}",
        f"warranty_share = {amount(1, 'offer', 'taken to be all: ask what it pays; never rot')}",
        f"in_writing = {value_text(said)}",
    ]


def _length(known: Answers) -> float | None:
    """Return the length of the coach [ft], as far as it is known."""
    if is_number(known["length"]):
        return float(known["length"])
    if known["quoted_by"] == "overall" and is_number(known["quoted_length"]):
        return float(known["quoted_length"])
    return None


def _scaled(roof: str, scale: float | None, what: str) -> list[str]:
    """Scale the shared price of a new roof to the length of the coach, to tens."""
    if scale is None:
        return noted("length_not_known")
    shared = files.data("shared.toml")["roofs"][roof]["renew_cost"]
    price = {name: int(round(shared[name] * scale, -1)) for name in RANGE}
    note = f"the shared price, scaled to {what}"
    return [
        *noted("scaled"),
        f"renew_cost = {amount(price, shared['basis'], note)}",
    ]


def _existing(known: Answers) -> str:
    """Write the roof that stands today."""
    age, seal_age = int(known["roof_age"]), known["seal_age"]
    told = is_number(seal_age)
    redone = "your answer" if told else "not known or never: as old as the roof"
    lines = [
        "[existing]",
        f'roof = "{standing(known)}"',
        *noted("ages"),
        f"age = {amount(age, 'judgement', 'your answer')}",
        f"seal_age = {amount(int(seal_age) if told else age, 'judgement', redone)}",
        *noted("hidden"),
        'hidden_now = "from upkeep"',
    ]
    today = {job: months for way in offered(known) for job, months in way.data.get("due_today", {}).items()}
    if today:
        lines += [*noted("done_today", jobs=", ".join(today)), f"last_visits = {value_text(today)}"]
    if known["trouble"] == NOT_SURE:
        lines += noted("nobody_looked")
    elif known["trouble"]:
        lines += [
            *noted("trouble"),
            f"trouble = {value_text(list(known['trouble']))}",
        ]
    else:
        lines += [*noted("nothing_seen"), 'inspected_today = "look_finds"']
    return "\n".join([*lines, *_found(seen_of(known)), ""])


def _found(seen: Seen) -> Iterator[str]:
    """Write what was found where trouble was opened, and what a moisture meter read."""
    if seen.opened is not None:
        yield from ("", "[existing.opened]", f"found = {value_text(seen.opened.found)}")
        if seen.opened.repaired:
            yield f"repaired = {value_text(seen.opened.repaired)}"
        if seen.opened.cost is not None:
            yield f"cost = {value_text(seen.opened.cost)}"
    if seen.meter is not None:
        yield from ("", *noted("meter"))
        yield from ("[existing.meter]", f"limit = {value_text(seen.meter.limit)}", "readings = [")
        for place, percent in seen.meter.readings:
            yield f"  {{ place = {value_text(place)}, percent = {value_text(percent)} }},"
        yield "]"


def _ways(known: Answers) -> str:
    """Write what the owner may decide."""
    base, roof = base_plan(known), standing(known)
    quoted = known["quote"] != NOT_SURE
    quote = [f'quote = "{COATING_QUOTE}"'] if quoted else []
    year = _middle_year(known)
    lines = []
    if known["otherwise"] == NOT_SURE:
        lines += [
            *noted("otherwise_not_sure"),
        ]
    lines += [
        "[alternatives.keep]",
        f"title = {value_text(title_of(known, base))}",
        "base_case = true               # what you would do otherwise",
        f'roof = "{roof}"',
        "",
    ]
    ways = offered(known)
    for way in ways:
        lines += _way(known, way) if way.ready else []
    if not quoted:
        lines += noted("no_quote")
    lines += [
        "[alternatives.coat_now]",
        'title = "Spray now"',
        'change = "now"',
        'then = "coating"',
        *quote,
        "subject = true                 # the verdict is about this way",
        "",
        f"[alternatives.coat_in_year_{year}]",
        f'title = "Spray in year {year}"',
        f"change = {amount(year, 'judgement', 'halfway through the years that you keep it')}",
        'then = "coating"',
        *quote,
        "",
        "[alternatives.coat_at_end]",
        f'title = "Spray when the {called(known)} must go"',
        'then = "coating"',
        *quote,
        "",
    ]
    others = [line for way in ways if not way.ready for line in _way(known, way)]
    if others:
        lines += [*noted("other_ways"), *others]
    return "\n".join(lines)


def _way(known: Answers, way: Offer) -> list[str]:
    """Write one way of keeping the roof."""
    roof = standing(known)
    if not way.keeps:
        head = [f"[alternatives.{way.name}]", f"title = {value_text(way.title)}"]
        return [*head, 'change = "now"', f'then = "{roof}"', *way.lines, ""]
    head = [f"[alternatives.keep_{way.name}]", f"title = {value_text(way.title)}"]
    if "sheltered_share" in way.data:
        head += [f"sheltered_share = {value_text(way.data['sheltered_share'])}"]
    return [*head, f'roof = "{roof}_{way.name}"', *way.lines, ""]


def _middle_year(known: Answers) -> int:
    """Return the year halfway through the time that the coach is kept, at least 1."""
    keep = known["keep"]
    if keep == NOT_SURE:
        keep = files.data("shared.toml")["owner"]["holding_period"]
    likely: float = keep["likely"] if isinstance(keep, Mapping) else keep
    return max(1, round(likely / 2))


def _answers(answers: Answers) -> str:
    """Write the answers themselves, in the order of asking."""
    lines = [f"{key} = {value_text(answers[key])}" for key in parts() if key in answers]
    return "\n".join([*noted("answers"), "[answers]", *lines, ""])


def _age_text(months: float) -> str:
    """Return an age in words.

    Examples
    --------
    >>> _age_text(14), _age_text(84), _age_text(1)
    ('14 months', '7 years', '1 month')
    """
    number, word = (months // 12, "year") if months and months % 12 == 0 else (months, "month")
    return f"{number:g} {word}{'' if number == 1 else 's'}"
