"""Questions at a prompt: each is asked until its answer is allowed, and at the end all are read back.

Lecture
-------
A `Sheet` is a list of questions with what must fit together among their answers. A part is asked until it
has an answer that its rule allows and that does not contradict the others. What was understood is said
back; what is allowed but hardly meant is asked about. "back" asks the question before again. At the end
every answer is read back in one screen, and each can be corrected by its number.

A room of its own, as two sheets are asked: the seven questions, and a quote on paper (`asking`). Left out:
what the answers are for.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from lifecycle.answers.seven_answers import CURRENCY, NUMBERS, doubt_text, said_back
from lifecycle.errors import Fault, fault
from lifecycle.interview import NEVER, NOT_SURE, Doubt, Part, broken_rule, follows, parts
from lifecycle.interview.site import near_places, place_in
from lifecycle.interview.typed import readings, understood
from lifecycle.language.sentences import say
from lifecycle.reading.reader import is_number

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
                    said = said_back(part, self.answers[part.key]) if answered else say("asking.left_out")
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
            remedy = f"{remedy[0].upper()}{remedy[1:]}"
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
