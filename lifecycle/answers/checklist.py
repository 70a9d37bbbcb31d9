"""What the trade does in this job, as a list that follows the steps and prints: each with reason and basis.

Lecture
-------
The list is data (`data/words/checklist.toml`); what must work and be on paper at the hand-over is that of the
film check (`data/handover.toml`), so that it is said once. A basis is a rule or standard by its name, from
memory, the maker's sheet, or common practice without a source.

Left out: what a shop must do by the law of its state.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lifecycle.answers.blocks import Answer, Block, Handwriting, Heading, Items, Rest, Sentence
from lifecycle.answers.handover import entries
from lifecycle.answers.shared import SCHEMA, made_by
from lifecycle.language.sentences import say, words

BOX = "[ ] "
"""What is ticked by hand."""


def checklist() -> Answer:
    """Put what a good job does into blocks and plain data."""
    steps, blocks = words("checklist.steps"), list[Block]()
    for number, step in enumerate(steps, start=1):
        blocks.append(Heading(f"{number} {step['title']}"))
        lines = [_line(item) for item in step["items"]]
        if step.get("handover"):
            lines += [line for name in ("works", "papers") for line in entries(name)]
        blocks.append(Items(tuple(f"{BOX}{line}" for line in lines), marks=False))
        if step.get("handover"):
            blocks.append(Sentence(say("checklist.handover"), "note"))
        if number == 1:
            blocks.append(Rest())
    data = {"schema": SCHEMA, "steps": steps, "made_by": made_by(None, "checklist", evaluated=False)}
    how, sign = Sentence(say("checklist.how"), "caution"), Handwriting(say("checklist.sign"), 2)
    return Answer(say("checklist.title"), "", (how, *blocks, sign), data)


def _line(item: Mapping[str, Any]) -> str:
    """Return what is done, why, and how that is known."""
    basis = say("checklist.practice") if item["basis"] == "practice" else item["basis"]
    return say("checklist.entry", what=item["what"], why=item["why"], basis=basis)
