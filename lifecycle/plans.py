"""The same roof under every shipped upkeep plan: what would you really do otherwise?

Lecture
-------
What decides most is what the owner would really do otherwise. So the scenario is laid out once more
with a pair of ways for each shipped plan: the existing roof kept under that plan, and the subject's
change today to a roof looked at as often, and as well, as the plan would. The new scenario is read
like any other, from the statements of the first; figures that were changed since keep their change,
and shared figures stay one input.

Left out: plans of the scenario's own, which stand in its own alternatives.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from lifecycle.files import fields, restated, shared
from lifecycle.reading import read_scenario
from lifecycle.scenario import Scenario

KEEP, CHANGE = "keep under ", "change under "
"""How the names of the pair of ways begin."""


def plan_titles() -> dict[str, str]:
    """Return the shipped plans: name and plain title, in the order of the shared data."""
    return {name: plan["title"] for name, plan in shared()["plans"].items()}


def under_every_plan(scenario: Scenario) -> Scenario:
    """Return the scenario with a pair of ways for each shipped plan.

    Parameters
    ----------
    scenario : Scenario
        Read from a file.

    Returns
    -------
    Scenario
        Ways ``"keep under PLAN"`` and ``"change under PLAN"`` for each plan.
    """
    subject = scenario.subject
    if subject is None:
        raise ValueError("the scenario has one way only: add a way to compare it with")
    own = tomllib.loads(scenario.text)
    existing = own["existing"]["roof"]
    way = own["alternatives"][subject.name]
    titles = plan_titles()
    roofs = dict(own.get("roofs", {}))
    ways: dict[str, Any] = {}
    for number, (plan, title) in enumerate(titles.items()):
        kept, following = f"{KEEP}{plan}", f"{CHANGE}{plan}"
        roofs[kept] = {"like": existing, "plan": plan}
        roofs[following] = {"like": subject.then, "plan": plan}
        ways[kept] = {"title": title, "roof": kept, "then": kept, "base_case": number == 0}
        changed = {key: value for key, value in way.items() if key in ("change", "quote", "days")}
        ways[following] = {**changed, "title": title, "roof": kept, "then": following, "change": "now"}
    laid_out: dict[str, Any] = {**own, "roofs": roofs, "alternatives": ways}
    laid_out.pop("loan", None)
    laid_out.pop("correlations", None)  # some of the figures that they name may not be there
    laid_out["existing"] = _without_clocks(own["existing"])
    laid_out["owner"] = {key: value for key, value in own.get("owner", {}).items() if key != "climbs"}
    new = read_scenario(
        laid_out,
        shared(),
        fields(),
        text=scenario.text,
        source=scenario.source,
        price_lists=scenario.price_lists,
    )
    kept_figures = {path: scenario.inputs[path] for path in new.inputs if path in scenario.inputs}
    together = {key: value for key, value in scenario.sections.items() if key == "correlations"}
    return replace(
        new,
        inputs={**new.inputs, **kept_figures},
        sections={**new.sections, **together},
        sha256=scenario.sha256,
    )


def with_other_ways(scenario: Scenario) -> Scenario:
    """Return the scenario with the other ways of its file compared too.

    Parameters
    ----------
    scenario : Scenario
        Read from a file.

    Returns
    -------
    Scenario
        Figures that were changed since keep their change; the scenario itself if there are no other ways.
    """
    if not scenario.aside:
        return scenario
    return restated(scenario, {f"alternatives.{name}.aside": False for name in scenario.aside})


def _without_clocks(existing: Mapping[str, Any]) -> dict[str, Any]:
    """Return the existing roof without the clocks of visits that a plan may not have."""
    return {key: value for key, value in existing.items() if key != "last_visits"}
