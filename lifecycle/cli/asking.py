"""Write a scenario from the seven questions, asked at a prompt or answered in a file.

Lecture
-------
Questions 1 to 3 have no default: an empty line there is asked again, "not sure" is an answer. Elsewhere an
empty line leaves the part out, which counts as "not sure". How a question is asked is in `prompting`. A
scenario that was written from answers can be corrected answer by answer, and gets the quote that a shop
gave on paper.

An answers file is a TOML file with `[answers]`; a scenario that `lifecycle new` wrote is one. In a
file with `units = "metric"` lengths are metres; they are converted here, at the border.
"""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

from lifecycle import files
from lifecycle.answers.seven_answers import CURRENCY, doubt_text
from lifecycle.cli.given import place_of_scenario
from lifecycle.cli.prompting import PLACES, Sheet, shown_line, typed_line
from lifecycle.errors import Fault, ScenarioError, fault, nearest
from lifecycle.interview import NOT_SURE, contradictions, doubts, faults, parts, questions, scenario_text
from lifecycle.interview.paper import PAPER, kept_paper, over_the_bill, paper_parts, paper_quote, with_paper
from lifecycle.interview.site import place_in
from lifecycle.interview.typed import in_feet
from lifecycle.language.sentences import say
from lifecycle.scenario import Scenario

WITHOUT_DEFAULT = (1, 2, 3)
"""Questions to which an empty line is no answer."""

ANY = "any"
"""Stands for an answer to correct where none is named."""


def new(arguments: Namespace) -> str:
    """Write a scenario from the answers to seven questions, or correct answers of one."""
    if arguments.correct:
        return _corrected(arguments)
    place = place_of_scenario(arguments.file) if arguments.file else None

    answers = _read_and_said(arguments.answers) if arguments.answers else ask(typed_line, shown_line)
    text = scenario_text(answers, base_date=date.today())
    if place is None:
        return text.rstrip("\n")
    files.write(place, text.encode("utf-8"), new=True)
    return say("asking.written", place=place)


def _read_and_said(path: str) -> dict[str, Any]:
    """Read answers from a file, and show what is hardly meant or not known in them."""
    answers = read_answers(path)
    if not faults(answers):
        for doubt in doubts(answers):
            shown_line(doubt_text(doubt))
        for key in PLACES:
            answer = answers.get(key)
            if isinstance(answer, str) and answer != NOT_SURE and place_in(answer) is None:
                shown_line(say("asking.place_left_out", typed=answer))
    return answers


def _corrected(arguments: Namespace) -> str:
    """Correct answers of a scenario that was written from answers, and write it anew."""
    if not arguments.file or arguments.answers:
        raise fault("--correct", "corrects one scenario", "", "lifecycle new my-roof.toml --correct")
    text, answers = files.load_text(arguments.file), read_answers(arguments.file)
    document = files.load_table(arguments.file)
    base_date = document.get("study", {}).get("base_date")
    wrong = faults(answers)
    if wrong:
        raise ScenarioError(wrong, arguments.file)
    quoted = kept_paper(document)
    if with_paper(scenario_text(answers, base_date=base_date), quoted) != text:
        rule = "was changed since it was written, and the changes would be lost"
        remedy = f"change it there, or write a new one: lifecycle new NEW.toml --answers {arguments.file}"
        raise fault(arguments.file, rule, "", remedy)
    key = _key(arguments.correct)
    sheet = seven(typed_line, shown_line)
    sheet.answers = answers
    if key != ANY:
        sheet.again(key)
    sheet.read_back()
    new_text = with_paper(scenario_text(sheet.answers, base_date=base_date), quoted)
    files.loads(new_text, arguments.file)
    files.write(Path(arguments.file), new_text.encode("utf-8"))
    return say("asking.written", place=arguments.file)


def _key(named: str) -> str:
    """Return the key of the answer that is to be corrected, named by its number or its key."""
    keys = tuple(parts())
    if named.isdecimal() and 1 <= int(named) <= len(keys):
        return keys[int(named) - 1]
    if named != ANY and named not in keys:
        rule = f"must be a number from 1 to {len(keys)}, or the name of an answer"
        raise fault("--correct", rule, named, nearest(named, keys))
    return named


def seven(input: Callable[[str], str], output: Callable[[str], object]) -> Sheet:
    """Return the seven questions as a sheet to ask."""
    asked = (part for one in questions() if one.number in WITHOUT_DEFAULT for part in one.parts)
    needed = {part.key for part in asked if not part.optional}
    headings = {one.parts[0].key: f"{one.number}. {one.text}" for one in questions()}
    return Sheet(parts(), contradictions, doubts, input, output, frozenset(needed), headings)


def ask(
    input: Callable[[str], str] = input,
    output: Callable[[str], object] = print,
) -> dict[str, Any]:
    """Ask the seven questions, read every answer back, and return the answers.

    Parameters
    ----------
    input : callable
        Shows a prompt and returns the line typed.
    output : callable
        Shows one line.

    Returns
    -------
    dict
        `[answers]`, lengths in feet, free of faults.

    Raises
    ------
    ScenarioError
        If the input ends before the last question.
    """
    output(say("asking.start"))
    sheet = seven(input, output)
    sheet.ask()
    return sheet.answers


def write_paper_quote(
    scenario: Scenario,
    answers: str | None,
    input: Callable[[str], str] = typed_line,
    output: Callable[[str], object] = shown_line,
) -> None:
    """Ask for the lines of a quote on paper, and write them into a scenario that has answers and no quote."""
    told = in_feet(scenario.answers, scenario.units)
    if answers:
        lines = _section(answers, PAPER)
    else:
        output(say("asking.paper.start"))
        length = {"length": told["length"]} if "length" in told else {}

        def against(lines: Mapping[str, Any]) -> list[Fault]:
            return [*over_the_bill(lines), *contradictions({**length, **lines})]

        sheet = Sheet(paper_parts(), against, lambda _: (), input, output)
        sheet.ask()
        lines = sheet.answers
    text = with_paper(scenario.text, paper_quote(lines, scenario.units))
    files.loads(text, scenario.source)
    files.write(Path(scenario.source), text.encode("utf-8"))
    output(say("asking.paper.written", place=scenario.source))


def read_answers(path: str | Path) -> dict[str, Any]:
    """Read the answers to the seven questions from a TOML file with `[answers]`."""
    return _section(path, "answers")


def _section(path: str | Path, name: str) -> dict[str, Any]:
    """Read a section of what was answered from a TOML file, lengths in feet."""
    document = _document(path)
    answers = document.get(name)
    if not isinstance(answers, Mapping):
        rule = f"must hold a section [{name}]"
        raise ScenarioError((Fault(str(path), rule, "none", f"write the answers under [{name}]"),))
    if document.get("currency", CURRENCY) != CURRENCY:
        remedy = "write the scenario by hand for another currency"
        rule = f"must be {CURRENCY!r}: so are the prices that stand in for what is not answered"
        raise ScenarioError((Fault("currency", rule, repr(document["currency"]), remedy),))
    units = document.get("units", "us")
    if units not in ("us", "metric"):
        raise ScenarioError((Fault("units", "must be 'us' or 'metric'", repr(units), "us means feet"),))
    return in_feet(answers, units)


def _document(path: str | Path) -> dict[str, Any]:
    """Parse a TOML file that need not be a whole scenario, by the rules of scenario files."""
    content = files._bytes(str(path), str(path))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ScenarioError((Fault(str(path), "must be text in UTF-8", "", "save it as UTF-8"),)) from None
    return files._parsed(text, str(path))
