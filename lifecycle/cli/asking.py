"""Questions at a prompt: the seven that a scenario is written from, and a quote on paper.

Lecture
-------
A `Sheet` is a list of questions with what must fit together among their answers. A part is asked until it has
an answer that its rule allows and that does not contradict the others. What was understood is said back; what
is allowed but hardly meant is asked about. "back" asks the question before again. At the end every answer is
read back in one screen, and each can be corrected by its number.

Questions 1 to 3 have no default: an empty line there is asked again, "not sure" is an answer. Elsewhere an
empty line leaves the part out, which counts as "not sure". A scenario that was written from answers can be
corrected answer by answer, and gets the quote that a shop gave on paper. An answers file is a TOML file with
`[answers]`; a scenario that `lifecycle new` wrote is one. In a file with `units = "metric"` lengths are
metres; they are converted here, at the border.
"""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Any

from lifecycle import files
from lifecycle.answers.seven_answers import CURRENCY, NUMBERS, doubt_text, said_back
from lifecycle.cli.arguments import place_of_scenario
from lifecycle.errors import Fault, ScenarioError, fault, nearest
from lifecycle.interview import (
    NEVER,
    NOT_SURE,
    Doubt,
    Part,
    broken_rule,
    contradictions,
    doubts,
    faults,
    follows,
    parts,
    questions,
    scenario_text,
)
from lifecycle.interview.paper import PAPER, kept_paper, over_the_bill, paper_parts, paper_quote, with_paper
from lifecycle.interview.typed import in_feet, near_places, place_in, readings, understood
from lifecycle.language.sentences import say
from lifecycle.quantities import capital
from lifecycle.reading.reader import is_number
from lifecycle.scenario import Scenario

PLACES = ("place", "second_place")
"""Parts that name a place."""

BACK = "back"
"""What is typed to answer the question before again."""

Answers = dict[str, Any]


def typed_line(prompt: str) -> str:
    """Return a line typed at a prompt; the prompt is no part of the output."""
    sys.stderr.write(prompt)
    sys.stderr.flush()
    if sys.stdin is None:  # closed
        raise EOFError
    try:
        line = sys.stdin.readline()
        line.encode()
    except UnicodeError:
        remedy = "save it as UTF-8, or use --answers FILE"
        raise fault("the standard input", "must be text in UTF-8", "", remedy) from None
    if not sys.stdin.isatty():
        sys.stderr.write(line if line.endswith("\n") else f"{line}\n")
    if not line:
        raise EOFError
    return line.rstrip("\n")


def shown_line(line: str) -> None:
    """Show a line that is no part of the output."""
    sys.stderr.write(f"{line}\n")


@dataclass
class Sheet:
    """A list of questions that is asked at a prompt, with the answers so far.

    Parameters
    ----------
    parts : mapping of str to Part
        What is asked, in the order of asking.
    contradictions : callable
        Takes answers; gives the faults among them.
    doubts : callable
        Takes answers; gives what is allowed among them but hardly meant.
    input, output : callable
        Shows a prompt and returns the line typed; shows one line.
    needed : frozenset of str
        Keys to which an empty line is no answer, besides those that must be answered.
    headings : mapping of str to str
        What is shown before a part, by its key.
    answers : dict
        By key, lengths in feet.
    """

    parts: Mapping[str, Part]
    contradictions: Callable[[Answers], Iterable[Fault]]
    doubts: Callable[[Answers], Iterable[Doubt]]
    input: Callable[[str], str]
    output: Callable[[str], object]
    needed: frozenset[str] = frozenset()
    headings: Mapping[str, str] = field(default_factory=dict)
    answers: Answers = field(default_factory=dict)
    confirmed: set[str] = field(default_factory=set)

    def ask(self) -> None:
        """Ask every part that is to be asked, then read the answers back.

        Raises
        ------
        ScenarioError
            If the input ends before the last question.
        """
        order, place = list(self.parts.values()), 0
        asked: list[int] = []
        while place < len(order):
            part = order[place]
            if part.key in self.headings:
                self.output("")
                self.output(self.headings[part.key])
            if self._follows(part) and not part.by_choice:
                value = self._ask(part)
                if value == BACK:
                    place = asked.pop() if asked else place
                    continue
                asked.append(place)
                self._keep(part, value)
            else:
                self._keep(part, None)
            place += 1
        self.read_back()

    def read_back(self) -> None:
        """Show every answer in one screen, and let each be corrected by its number until all are right."""
        numbered = {str(number): part for number, part in enumerate(self.parts.values(), start=1)}
        while True:
            self.output("")
            self.output(say("asking.read_back"))
            for number, part in numbered.items():
                if self._follows(part):
                    answered = part.key in self.answers
                    open_ = say("asking.page.unanswered")
                    said = said_back(part, self.answers[part.key]) if answered else open_
                    self.output(f"   {number:>2}  {part.short}: {said}")
            for doubt in self.doubts(self.answers):
                self.output(f"   {doubt_text(doubt)}")
            try:
                typed = self.input(f"   {say('asking.correct_which')} ").strip()
            except EOFError:  # everything is answered
                return
            if not typed:
                return
            found = numbered.get(typed)
            if found is None or not self._follows(found):
                self.output(f"      {say('asking.no_such_answer', typed=typed)}")
            else:
                self.again(found.key)

    def again(self, key: str) -> None:
        """Ask one part again, and what follows from its new answer; "back" leaves it as it was."""
        value = self._ask(self.parts[key])
        if value == BACK:
            return
        self._keep(self.parts[key], value)
        again = {key}
        for part in self.parts.values():
            if not self._follows(part):
                self._keep(part, None)
            elif part.after in again and part.key not in self.answers:
                value = self._ask(part)
                self._keep(part, None if value == BACK else value)
                again.add(part.key)

    def _follows(self, part: Part) -> bool:
        """Whether a part is to be asked, after the answers before it."""
        return follows(part, self.answers)

    def _keep(self, part: Part, value: Any) -> None:
        """Keep an answer, or that there is none."""
        self.answers.pop(part.key, None)
        if value is not None:
            self.answers[part.key] = value

    def _ask(self, part: Part) -> Any:
        """Ask one part until it is answered; None if it is left out, `BACK` for the one before."""
        for number, choice in enumerate(part.choices, start=1):
            self.output(f"   {number}  {choice['text']}")
        while True:
            typed = self._line(part)
            if typed.lower() == BACK:
                return BACK
            if not typed and not part.needed and part.key not in self.needed:
                return None
            value = understood(part, typed)
            trouble = self._objection(part, value, typed)
            if trouble is not None:
                self.output(f"      {trouble}")
                continue
            if part.kind in NUMBERS and value != NOT_SURE:
                self.output(f"      {say('asking.understood', value=said_back(part, value))}")
            if part.key in PLACES and value != NOT_SURE:
                value = place_in(value)
            if self._meant(part, value):
                return value

    def _line(self, part: Part) -> str:
        """Ask one part once, and return what is typed."""
        try:
            ending = "" if part.ask.endswith("?") else ":"
            return self.input(f"   {part.ask}{_currency(part)}{ending} ").strip()
        except EOFError:
            remedy = "start again, or use --answers FILE"
            raise fault(f"answers.{part.key}", "must be answered", "the end of the input", remedy) from None

    def _meant(self, part: Part, value: Any) -> bool:
        """Ask back where an answer is allowed but hardly meant; whether it is meant."""
        for doubt in self.doubts({**self.answers, part.key: value}):
            if part.key not in doubt.keys or doubt.name in self.confirmed:
                continue
            self.output(f"      {doubt_text(doubt)}")
            yes = replace(YES_OR_NO, key=part.key, ask=say("asking.is_it_meant"))
            while (said := understood(yes, self._line(yes))) not in (True, False):
                self.output(f"      {say('asking.no_answer', typed=said, wanted=wanted(yes))}")
            if not said:
                return False
            self.confirmed.add(doubt.name)
        return True

    def _objection(self, part: Part, value: Any, typed: str) -> str | None:
        """Return what is wrong with an answer, as a sentence, or None."""
        if not typed:
            return say("asking.needs_answer_or_not_sure" if part.not_sure else "asking.needs_answer")
        if broken_rule(part, value):
            if value == NOT_SURE:
                return say("asking.guess")
            if two := readings(part, typed):
                return say("asking.two_readings", typed=typed, one=two[0], other=two[1])
            if part.key == "keep" and is_number(value) and value <= 0:
                return say("asking.sold_before_today", typed=typed)
            return say("asking.no_answer", typed=typed, wanted=wanted(part))
        if part.key in PLACES and value != NOT_SURE and place_in(value) is None:
            return say("asking.unknown_place", typed=typed, names=", ".join(near_places(value)))
        for found in self.contradictions({**self.answers, part.key: value}):
            key = found.place.rpartition(".")[2]
            what = say("asking.it") if key == part.key else {**parts(), **self.parts}[key].short
            rule, remedy = _in_words(found.rule), _in_words(found.remedy)
            remedy = capital(remedy)
            return say("asking.does_not_fit", typed=typed, what=what, rule=rule, remedy=remedy)
        return None


YES_OR_NO = Part("", "yes_no", "", "", not_sure=False)


def wanted(part: Part) -> str:
    """Say what may be typed.

    Examples
    --------
    >>> wanted(parts()["climbs"]), wanted(parts()["otherwise"])
    ("yes or no, or 'not sure'", "a number from 1 to 7, or 'not sure'")
    >>> wanted(parts()["keep"])
    "one number from 1 to 60 years, or three with the smallest first, or 'not sure'"
    """
    unit = "" if part.unit.startswith("money") else f" {part.unit}"
    low, high = (f"{end:,.10g}" for end in (part.low, part.high))
    match part.kind:
        case "yes_no" | "age" | "months" | "text" | "line" | "readings":
            said = say(f"asking.wanted.{part.kind}")
        case "choice" | "several":
            said = say(f"asking.wanted.{part.kind}", number=len(part.choices))
        case _:
            limits = say("asking.wanted.limits", low=low, high=high, unit=unit)
            said = say(f"asking.wanted.{'amount' if part.three else 'number'}", limits=limits)
    for word in [NOT_SURE] * part.not_sure + [NEVER] * part.never:
        said = say("asking.wanted.or", wanted=said, free=word)
    return said


def _in_words(text: str) -> str:
    """Return a rule of a file in the words of the questions."""
    for part in parts().values():
        for choice in part.choices:
            text = text.replace(repr(choice["value"]), f'"{choice["text"]}"')
    return text.replace("must be true", "must be yes")


def _currency(part: Part) -> str:
    """Return the unit of an amount of money, to stand behind what is asked."""
    return f" ({part.unit.replace('money', CURRENCY)})" if part.unit.startswith("money") else ""


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


def ask(input: Callable[[str], str] = input, output: Callable[[str], object] = print) -> dict[str, Any]:
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
        lines = read_answers(answers, PAPER)
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


def read_answers(path: str | Path, name: str = "answers") -> dict[str, Any]:
    """Read a section of what was answered from a TOML file, lengths in feet."""
    document = files.load_table(path)
    answers = document.get(name)
    if not isinstance(answers, Mapping):
        rule = f"must hold a section [{name}]"
        raise fault(str(path), rule, "none", f"write the answers under [{name}]")
    if document.get("currency", CURRENCY) != CURRENCY:
        remedy = "write the scenario by hand for another currency"
        rule = f"must be {CURRENCY!r}: so are the prices that stand in for what is not answered"
        raise fault("currency", rule, repr(document["currency"]), remedy)
    units = document.get("units", "us")
    if units not in ("us", "metric"):
        raise fault("units", "must be 'us' or 'metric'", repr(units), "us means feet")
    return in_feet(answers, units)
