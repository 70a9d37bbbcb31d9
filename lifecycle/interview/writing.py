"""The answers to the seven questions, written down as a scenario to read and change.

Lecture
-------
What is not asked is a shared figure, named by `like = "shared"`; what was answered is a number with its basis
and a note, so that nobody takes it for the tool's own. Comments, notes and titles are data
(`words/written.toml`). The answers themselves stand at the end as `[answers]`. "not sure" means:

- otherwise: every shipped plan is compared; the file needs a base case and takes the one named in
  the data, but no single verdict may be given;
- keep, reseal_price, hour_value: the shared range stands;
- quote: the price of spraying is the shared one, and the highest price worth paying is the answer;
- seal_age: as old as the roof ("never" is the same);
- covering: a membrane; warranty_years: none; warranty_in_writing: spoken;
- length, place: the reference coach, the reference climate: the figures of the roofs hold as written;
- trouble: nobody looked, so nothing is known of the roof today. An empty list means that somebody
  looked and saw nothing: the leaks that such a look would have found are thinned.

*Which ways are offered.* What the owner would do otherwise is one way. Further ones are data
(`questions.toml`), the first first; those that do not fit the answers are left out: own work where the owner
does not go up, a patch before a sale where the coach is kept for long, a new roof where the old one is young.
As many as make seven rows with what the owner would do and the ways of spraying stand ready; the rest stand
in the file as other ways (`aside = true`). A shop does the looks in between of a plan that needs them where
the owner does not go up. The past upkeep is taken to be what the owner would do otherwise.

*Size and place.* The prices of a new roof are scaled by the length, as numbers of the written file; what
length, place and cover do to the roofs is left to the sections `[coach]` (as wide as the reference coach,
with its caps and openings) and `[climate]`. With two places the second has the share of the year that was
told. A place that is not of the table is left out, with a comment that lists the table; so is a second one
without its share. Cover counts in any place. Without length, place and cover neither section is written.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from lifecycle import files
from lifecycle.errors import ScenarioError
from lifecycle.interview.questions import NOT_SURE, RANGE, Answers, faults, own_plans, parts, seen_of
from lifecycle.interview.typed import place_in
from lifecycle.kinds import COVERINGS
from lifecycle.quantities import capital
from lifecycle.reading.reader import is_number
from lifecycle.reading.roofs import all_plans
from lifecycle.scenario import Seen

COATING_QUOTE = "coating_quote"
"""Figure of the quote that was told."""

WIDTH = 96
"""Of a comment. [characters]"""

BESIDE = 31
"""Where a comment beside an entry begins. [characters]"""


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
        _coach(_length(known)),
        _climate(known),
        _figures(known),
        _roofs(known),
        _existing(known),
        _ways(known),
        _answers(answers),
    )
    return "\n".join(line for section in sections for line in section)


def _head(known: Answers, base_date: date) -> list[str]:
    """Write title, years and rates."""
    longest = known["keep"]["high"] if isinstance(known["keep"], Mapping) else known["keep"]
    shared_years = files.data("shared.toml")["study"]["study_period"]
    years = math.ceil(longest) if is_number(longest) and longest > shared_years else None
    return [
        *noted("head"),
        "",
        "schema = 1",
        f"title = {value_text(written('titles.scenario', age=_age_text(known['roof_age'])))}",
        'currency = "USD"',
        'units = "us"',
        "",
        "[study]",
        'like = "shared"',
        f"base_date = {base_date.isoformat()}",
        *([f"study_period = {years}  # {written('beside.study_period')}"] if years else []),
        "",
    ]


def _owner(known: Answers) -> list[str]:
    """Write years kept, worth of an hour, who climbs; leaks as shared."""
    lines = ["[owner]", 'like = "shared"']
    for key, name in (("keep", "holding_period"), ("hour_value", "hour_value"), ("climbs", "climbs")):
        if known[key] == NOT_SURE:
            lines += noted(f"{key}_not_sure")
        else:
            said = value_text(known[key]) if key == "climbs" else amount(known[key], "judgement", "answer")
            lines += [*noted(key), f"{name} = {said}"]
    if known["climbs"] is not False and known["climbs_in_ten_years"] is False:
        lines += [*noted("stops_climbing"), "climbs_in_ten_years = false"]
    return [*lines, "", "[leaks]", 'like = "shared"', ""]


def _coach(length: float | None) -> list[str]:
    """Write the coach, where its length is known. [ft]"""
    if length is None:
        return []
    return [*noted("coach"), "[coach]", f"length = {amount(length, 'judgement', 'answer_in_ft')}", ""]


def _climate(known: Answers) -> list[str]:
    """Write where the coach stands."""
    comments, entries = _places(known)
    cover = known["sheltered_share"]
    if is_number(cover) and cover > 0:
        entries += [*noted("under_cover"), f"sheltered_share = {amount(cover, 'judgement', 'answer')}"]
    if not comments and not entries:
        return []
    return [*noted("climate"), *(["[climate]"] if entries else []), *comments, *entries, ""]


def _places(known: Answers) -> tuple[list[str], list[str]]:
    """Write the place or the places, behind comments on those that are not of the table."""
    answers = {key: known[key] for key in ("place", "second_place") if known[key] not in (NOT_SURE, "")}
    found = {key: place_in(answer) for key, answer in answers.items()}
    comments = []
    for key, answer in answers.items():
        if found[key] is None:
            names = ", ".join(files.shared()["places"])
            comments += noted("unknown_place", place=value_text(answer))
            comments += [f"# {line}" for line in textwrap.wrap(names, WIDTH)]
    first, second, share = found.get("place"), found.get("second_place"), known["second_share"]
    if first is None:
        return comments, []
    if second is None or second == first or not is_number(share) or not 0.0 < share < 1.0:
        return comments, [f"place = {value_text(first)}"]
    shares: Mapping[str, float] = {first: 1.0 - round(share, 4), second: round(share, 4)}
    entries = ", ".join(value_text({"place": name, "share": part}) for name, part in shares.items())
    return comments, [f"places = [{entries}]"]


def _figures(known: Answers) -> list[str]:
    """Write the prices that were told to the owner."""
    lines = []
    if known["reseal_price"] != NOT_SURE:
        price = amount(known["reseal_price"], "offer", "reseal_price")
        lines += [*noted("reseal_price"), f"shop_reseal_cost = {price}"]
    if known["quote"] != NOT_SURE:
        lines += [
            f"{noted('quote')[0]} {_a_foot(known)}",
            f"{COATING_QUOTE} = {amount(known['quote'], 'offer', 'quote')}",
        ]
    return ["[figures]", *lines, ""] if lines else []


def _a_foot(known: Answers) -> str:
    """Say what the quote is for, if that is known."""
    quote, feet, by = known["quote"], known["quoted_length"], known["quoted_by"]
    if feet == NOT_SURE:
        return written("a_foot.unknown")
    return written(f"a_foot.{by}", feet=f"{feet:g}", price=f"{_likely(quote) / feet:,.0f}")


def _roofs(known: Answers) -> list[str]:
    """Write the roof that stands under each plan, and the coating."""
    base, roof = base_plan(known), standing(known)
    reference = files.shared()["coach"]
    feet = _length(known)
    sprayed = known["quoted_length"] if known["quoted_by"] == "sprayed" else NOT_SURE
    share = reference["sprayed_share"]["likely"]
    scale = feet / reference["reference_length"]["value"] if feet else None
    whole = written("feet.overall", feet=f"{feet:g}") if feet else ""
    lines = [
        *noted("roof", roof=called(known)),
        f"[roofs.{roof}]",
        f'like = "{roof}"',
        f'plan = "{plan_of(known, base)}"',
        *_scaled(roof, scale, whole),
    ]
    for way in offered(known):
        if way.keeps:
            lines += ["", f"[roofs.{roof}_{way.name}]", f'like = "{roof}"', *_upkeep(known, way)]
    if is_number(sprayed):
        scale = sprayed / (share * reference["reference_length"]["value"])
        whole = written("feet.sprayed", feet=f"{sprayed:g}")
    return [
        *lines,
        "",
        *noted("coating", roof=called(known)),
        "[roofs.coating]",
        'like = "coating"',
        *_warranty(known),
        *_scaled("coating", scale, whole),
        "",
    ]


def _upkeep(known: Answers, way: Offer) -> list[str]:
    """Write the plan of a way, or the jobs of what the owner would do otherwise with its own."""
    if "plan" in way.data:
        return [f'plan = "{plan_of(known, way.data["plan"])}"']
    covering = COVERINGS[files.shared()["roofs"][standing(known)]["covering"]]
    jobs = all_plans(files.shared())[plan_of(known, base_plan(known))][covering.kept_as]
    return ["visits = [", *(f"  {value_text(job)}," for job in (*jobs, *way.data["jobs"])), "]"]


def _warranty(known: Answers) -> list[str]:
    """Write the warranty that the shop gives."""
    years = known["warranty_years"]
    if not is_number(years) or years <= 0:
        return []
    return [
        *noted("warranty"),
        f"warranty_years = {amount(years, 'offer', 'warranty_years')}",
        f"warranty_share = {amount(1, 'offer', 'warranty_share')}",
        f"in_writing = {value_text(known['warranty_in_writing'] is True)}",
    ]


def _length(known: Answers) -> float | None:
    """Return the length of the coach [ft], as far as it is known."""
    if is_number(known["length"]):
        return float(known["length"])
    if known["quoted_by"] == "overall" and is_number(known["quoted_length"]):
        return float(known["quoted_length"])
    return None


def _scaled(roof: str, scale: float | None, feet: str) -> list[str]:
    """Scale the shared price of a new roof to the length of the coach, to tens."""
    if scale is None:
        return noted("length_not_known")
    shared = files.data("shared.toml")["roofs"][roof]["renew_cost"]
    price = {name: int(round(shared[name] * scale, -1)) for name in RANGE}
    return [*noted("scaled"), f"renew_cost = {amount(price, shared['basis'], 'scaled', feet=feet)}"]


def _existing(known: Answers) -> list[str]:
    """Write the roof that stands today."""
    age, seal_age = int(known["roof_age"]), known["seal_age"]
    told = is_number(seal_age)
    lines = [
        "[existing]",
        f'roof = "{standing(known)}"',
        *noted("ages"),
        f"age = {amount(age, 'judgement', 'answer')}",
        f"seal_age = {amount(int(seal_age) if told else age, 'judgement', 'answer' if told else 'seal_age')}",
        *noted("hidden"),
        'hidden_now = "from upkeep"',
    ]
    today = {job: months for way in offered(known) for job, months in way.data.get("due_today", {}).items()}
    if today:
        lines += [*noted("done_today", jobs=", ".join(today)), f"last_visits = {value_text(today)}"]
    if known["trouble"] == NOT_SURE:
        lines += noted("nobody_looked")
    elif known["trouble"]:
        lines += [*noted("trouble"), f"trouble = {value_text(list(known['trouble']))}"]
    else:
        lines += [*noted("nothing_seen"), 'inspected_today = "look_finds"']
    return [*lines, *_found(seen_of(known)), ""]


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


def _ways(known: Answers) -> list[str]:
    """Write what the owner may decide."""
    quoted = known["quote"] != NOT_SURE
    quote = [f'quote = "{COATING_QUOTE}"'] if quoted else []
    keep = known["keep"]
    kept = _likely(files.data("shared.toml")["owner"]["holding_period"] if keep == NOT_SURE else keep)
    year = max(1, round(kept / 2))
    ways = offered(known)
    others = [line for way in ways if not way.ready for line in _way(known, way)]
    return [
        *(noted("otherwise_not_sure") if known["otherwise"] == NOT_SURE else []),
        "[alternatives.keep]",
        f"title = {value_text(title_of(known, base_plan(known)))}",
        _beside("base_case"),
        f'roof = "{standing(known)}"',
        "",
        *(line for way in ways if way.ready for line in _way(known, way)),
        *([] if quoted else noted("no_quote")),
        "[alternatives.coat_now]",
        f"title = {value_text(written('titles.now'))}",
        'change = "now"',
        'then = "coating"',
        *quote,
        _beside("subject"),
        "",
        f"[alternatives.coat_in_year_{year}]",
        f"title = {value_text(written('titles.in_year', year=year))}",
        f"change = {amount(year, 'judgement', 'halfway')}",
        'then = "coating"',
        *quote,
        "",
        "[alternatives.coat_at_end]",
        f"title = {value_text(written('titles.at_end', roof=called(known)))}",
        'then = "coating"',
        *quote,
        "",
        *([*noted("other_ways"), *others] if others else []),
    ]


def _way(known: Answers, way: Offer) -> list[str]:
    """Write one way of keeping the roof."""
    roof, aside = standing(known), [] if way.ready else [_beside("aside")]
    title = f"title = {value_text(way.title)}"
    if not way.keeps:
        return [f"[alternatives.{way.name}]", title, 'change = "now"', f'then = "{roof}"', *aside, ""]
    head = [f"[alternatives.keep_{way.name}]", title]
    if "sheltered_share" in way.data:
        head += [f"sheltered_share = {value_text(way.data['sheltered_share'])}"]
    return [*head, f'roof = "{roof}_{way.name}"', *aside, ""]


def _beside(mark: str) -> str:
    """Write a mark of a way, with a comment beside it."""
    return f"{f'{mark} = true':{BESIDE}}# {written(f'beside.{mark}')}"


def _likely(value: Any) -> float:
    """Return the likely one of three numbers, or the one number."""
    return float(value["likely"] if isinstance(value, Mapping) else value)


def _answers(answers: Answers) -> list[str]:
    """Write the answers themselves, in the order of asking."""
    lines = [f"{key} = {value_text(answers[key])}" for key in parts() if key in answers]
    return [*noted("answers"), "[answers]", *lines, ""]


def _age_text(months: float) -> str:
    """Return an age in words.

    Examples
    --------
    >>> _age_text(14), _age_text(84), _age_text(1)
    ('14 months', '7 years', '1 month')
    """
    number, word = (months // 12, "year") if months and months % 12 == 0 else (months, "month")
    return written(f"ages.{word}{'' if number == 1 else 's'}", number=f"{number:g}")


@dataclass(frozen=True)
class Offer:
    """A way of keeping the roof that is offered: title, what the data say of it, whether it is ready."""

    title: str
    data: Mapping[str, Any]
    ready: bool

    @property
    def name(self) -> str:
        """Its name in the file."""
        return str(self.data.get("plan") or self.data["way"])

    @property
    def keeps(self) -> bool:
        """Whether the roof that stands is kept, under a plan or with further jobs."""
        return "plan" in self.data or "jobs" in self.data


def base_plan(known: Answers) -> str:
    """Return the plan of what the owner would do otherwise, or the first that can stand for it."""
    data = files.data("questions.toml")
    base: str = data["when_not_sure"] if known["otherwise"] == NOT_SURE else known["otherwise"]
    plans: Mapping[str, Any] = files.shared()["plans"]
    if known["climbs"] is not False or base not in own_plans():
        return base
    return next(plan for plan in plans if plan not in own_plans())


def offered(known: Answers) -> tuple[Offer, ...]:
    """Return the ways of keeping the roof that fit the answers, those that stand ready first."""
    data, base = files.data("questions.toml"), base_plan(known)
    listed = list(data["ways"])
    if known["otherwise"] == NOT_SURE:
        plans = files.shared()["plans"]
        listed = [{"plan": plan} for plan in plans] + [way for way in listed if way.get("plan") not in plans]
    fitting = [way for way in listed if way.get("plan") != base and _fits(known, way)]
    most = len(files.shared()["plans"]) - 1 if known["otherwise"] == NOT_SURE else data["rows"] - 4
    words = {"roof": called(known), "otherwise": title_of(known, base)}
    return tuple(
        Offer(
            title_of(known, way["plan"]) if "plan" in way else way["title"].format(**words),
            way,
            number < most,
        )
        for number, way in enumerate(fitting)
    )


def _fits(known: Answers, way: Mapping[str, Any]) -> bool:
    """Whether a way fits the answers."""
    years = math.inf if known["keep"] == NOT_SURE else _likely(known["keep"])
    if known["roof_age"] < way.get("roof_age_from", 0) or years > way.get("keep_to", math.inf):
        return False
    if "sheltered_share" in way:
        sheltered = known["sheltered_share"] if is_number(known["sheltered_share"]) else 0.0
        goes_up = known["climbs"] is not False and known["climbs_in_ten_years"] is not False
        return goes_up and sheltered < 0.5 and place_in(known["place"]) is not None
    return known["climbs"] is not False or way.get("plan") not in own_plans()


def standing(known: Answers) -> str:
    """Return the name of the roof that stands: of the choices the first, if nobody is sure."""
    roofs = [choice["value"] for choice in parts()["covering"].choices]
    return known["covering"] if known["covering"] in roofs else roofs[0]


def called(known: Answers) -> str:
    """Return what the roof that stands is called in a sentence."""
    return written(f"roofs.{standing(known)}")


def plan_of(known: Answers, plan: str) -> str:
    """Return the plan that is written: a shop's, where the owner does not go up."""
    by_shop: Mapping[str, str] = files.shared()["stops_climbing"]["plans"]
    return by_shop.get(plan, plan) if known["climbs"] is False else plan


def title_of(known: Answers, plan: str) -> str:
    """Return the plain title of `plan`."""
    title: str = all_plans(files.shared())[plan_of(known, plan)]["title"]
    return capital(title)


def written(name: str, /, **slots: object) -> str:
    """Return a text of a written file, in the words of the data.

    Examples
    --------
    >>> written("titles.in_year", year=5)
    'Spray in year 5'
    """
    found: Any = files.data("words/written.toml")["written"]
    for part in name.split("."):
        found = found[part]
    return str(found).format(**slots)


def noted(name: str, /, **slots: object) -> list[str]:
    """Return a comment of a written file, line by line."""
    return [f"# {line}" for line in written(f"comments.{name}", **slots).splitlines()]


def amount(value: Any, basis: str, note: str, **slots: object) -> str:
    """Write one number or three as a TOML table with its basis, and the note of that name in the data.

    Examples
    --------
    >>> amount(4, "judgement", "answer")
    '{value = 4, basis = "judgement", note = "your answer"}'
    """
    numbers = {name: value[name] for name in RANGE} if isinstance(value, Mapping) else {"value": value}
    return value_text({**numbers, "basis": basis, "note": written(f"notes.{note}", **slots)})


def value_text(value: Any) -> str:
    """Write a value as TOML on one line.

    Examples
    --------
    >>> value_text({"low": 4, "note": "your answer"})
    '{low = 4, note = "your answer"}'
    """
    import tomlkit

    text: str = (files.on_one_line(value) if isinstance(value, Mapping) else tomlkit.item(value)).as_string()
    return text
