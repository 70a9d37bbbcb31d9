"""The pocket page in a browser, answers by chance, and what the whole tool says to the same answers."""

from __future__ import annotations

import random
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

from lifecycle import files
from lifecycle.evaluation.comparison import compare
from lifecycle.interview import faults, scenario_text
from lifecycle.interview.questions import own_plans
from lifecycle.language.verdict import Verdict, verdict_under
from lifecycle.pages.pocket.stored import DRAWS
from lifecycle.studies.assessment import brief
from lifecycle.studies.habits import habits, with_own_row
from tests.faces.browsing import Tab

SAMPLE = Path(__file__).resolve().parents[2] / "reports" / "pocket.html"
DAY = date(2027, 4, 1)

NOT_ON_THE_PAGE = (
    "Other ways that stand in the file",
    "The looks are unequal",
    "The biggest unknown is",
    "Then say",
)
"""How sentences begin that stand beside the verdict of a file, and not on the page."""

SAID = """async ([answers, table]) => {
  const found = await window.pocket.answer(answers, table);
  if (found.trouble) return { lines: found.lines, beside: found.beside };
  const { judged, lines, more, beside, price } = found;
  return { lines: [...lines, ...more], beside, price, word: judged.word,
    leads: judged.lead.place.way, acting: judged.acting.place.way, of_20: judged.pair.of20,
    costs: judged.ways.means, borders: judged.borders.map((one) => one.what),
    table: found.table && Object.fromEntries(found.table.rows.map((row) => [row.plan, row.counts])) };
}"""
"""What the page says to some answers, as `told` has it."""

BEGIN = f"""(cases) => {{
  const said = {SAID};
  const told = async (all) => {{ for (const one of cases) all.push(await said(one)); return all; }};
  window.begun = told([]);
}}"""
"""Has the page answer many cases; `window.begun` is to be waited for."""


@contextmanager
def pocket(browser: Any, page: Path = SAMPLE, size: tuple[int, int] = (360, 740)) -> Iterator[Tab]:
    """Open a pocket page from the disk."""
    tab = Tab(browser, page.resolve().as_uri(), size, there="#questions fieldset")
    tab.page.wait_for_function("() => document.querySelector('#state').textContent !== ''")
    try:
        yield tab
    finally:
        tab.close()


def random_answers(chance: random.Random) -> dict[str, Any]:
    """Return answers that the page can ask for, by chance; about a quarter of the parts not sure."""
    likely = chance.randint(1, 15)
    three = {
        "low": max(1, likely - chance.randint(0, 4)),
        "likely": likely,
        "high": likely + chance.randint(0, 8),
    }
    places = list(files.shared()["places"])
    plans = [*files.shared()["plans"], "not sure"]
    answers: dict[str, Any] = {
        "otherwise": chance.choice(plans),
        "keep": "not sure" if chance.random() < 0.07 else chance.choice([likely, three]),
        "quote": "not sure" if chance.random() < 0.1 else 100 * chance.randint(40, 130),
        "roof_age": chance.randint(0, 200),
    }
    quoted, second = answers["quote"] != "not sure" and chance.random() < 0.6, chance.random() < 0.25
    length = chance.randint(18, 40)
    maybe = {
        "climbs": chance.random() < 0.6,
        "reseal_price": 100 * chance.randint(4, 18),
        "hour_value": chance.randint(0, 60),
        "length": length,
        "covering": chance.choice(["membrane", "membrane", "fibreglass"]),
        "seal_age": chance.choice(["never", chance.randint(0, answers["roof_age"])]),
        "place": chance.choice(places),
        "sheltered_share": chance.randint(0, 8) / 12,
        "trouble": [],
    }
    answers |= {key: value for key, value in maybe.items() if chance.random() < 0.7}
    if quoted:
        answers["quoted_length"] = length - chance.randint(0, 5)
        answers["quoted_by"] = chance.choice(["overall", "sprayed", "not sure"])
        answers["warranty_years"] = chance.randint(0, 15)
        answers["warranty_in_writing"] = chance.random() < 0.5
    if second and "place" in answers:
        answers |= {"second_place": chance.choice(places), "second_share": chance.randint(1, 6) / 12}
    if answers.get("climbs") is False and answers["otherwise"] in own_plans():
        del answers["climbs"]
    assert not faults(answers), answers
    return answers


def _beside(verdict: Verdict) -> list[str]:
    """Return what stands beside a verdict on the page too."""
    return [line for line in verdict.beside if not line.startswith(NOT_ON_THE_PAGE)]


def told(answers: dict[str, Any], *, draws: int = DRAWS, table: bool = False) -> dict[str, Any]:
    """Return what the whole tool says to answers."""
    scenario = files.loads(scenario_text(answers, base_date=DAY))
    if scenario.trouble:
        verdict = verdict_under(compare(scenario), None)
        return {"lines": list(verdict.lines), "beside": _beside(verdict)}
    found = brief(scenario, draws=draws)
    verdict, judged, doubt = verdict_under(compare(found.scenario), found), found.judged, found.doubt
    assert judged is not None
    counts = with_own_row(habits(scenario, draws=draws), found.scenario, doubt) if table else None
    return {
        "lines": list(verdict.lines),
        "beside": _beside(verdict),
        "price": verdict.price,
        "word": judged.word,
        "leads": judged.lead.place.way,
        "acting": judged.acting.place.way,
        "of_20": judged.pair.of_20,
        "costs": {name: float(doubt.futures.weights @ doubt.cost(name)) for name in doubt.names},
        "borders": [border.what for border in judged.borders],
        "table": counts and {plan: list(row.values()) for plan, row in counts.of_20.items()},
    }
