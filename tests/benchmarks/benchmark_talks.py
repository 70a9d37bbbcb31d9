"""Talks at the counter in a real browser, on a tablet: steps, seconds, words on the answer screen.

Not timed in CI. Run with:  python tests/benchmarks/benchmark_talks.py [--answers]

Three invented customers come to an honest seller one after another, in one tab of 1,024 x 768 pixels. Each
step of a talk is printed with

    taps, keys   what the seller touches and types
    page         from the first touch until all that shows is that of what was entered [s]
    hand         what a practised hand takes: 2.45 s a tap with a thought before it, 0.28 s a key (a
                 keystroke-level model, from memory)

and each answer with its words on the screen, and by how many pixels it is higher than the screen. What the
customer says, the walk with tape and meter, and reading aloud (about 150 words a minute; common practice, no
source) come on top: the last line of a talk adds the reading.

With `--answers` many more customers are answered, so that every kind of first line shows: words and pixels.
"""

from __future__ import annotations

import itertools
import os
import platform
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from lifecycle.interview import parts
from lifecycle.places import scenario_path
from tests.faces.browsing import Tab, chromium
from tests.faces.serving import serving

TABLET = (1024, 768)
TAP, KEY, ALOUD = 2.45, 0.28, 150.0
"""Of a hand: a tap, a key [s]; read aloud [words/minute]."""

LIST = scenario_path("two-quotes").parent / "prices" / "by-the-foot.toml"
ASK, WALK, PRICE, ANSWER = range(4)

SETTLED = """() => { const screen = document.querySelector('.lc-answering .lc-screen');
  return !document.querySelector('.lc-page .lc-old') && (document.querySelector('.lc-stop, .lc-turned')
    || !screen.innerText.trim() || screen.querySelector('h3')); }"""
"""Nothing that shows is old, and the answer has its price, where there is an answer."""

HIGH = """() => Math.round(Math.max(...[...document.querySelectorAll(
  '.lc-answering .jupyter-widgets, .lc-counter .lc-sticky')].filter(one => one.checkVisibility())
  .map(one => one.getBoundingClientRect().bottom)) - window.innerHeight)"""
"""By how much the answer is higher than the screen. [CSS pixel]"""


@dataclass
class Hand:
    """The seller's hand on one tab; it counts what it touches and types."""

    tab: Tab
    taps: int = 0
    keys: int = 0

    def tap(self, locator: Any) -> None:
        """Touch something."""
        locator.click()
        self.taps += 1

    def choose(self, text: str) -> None:
        """Choose one of a question's choices."""
        self.tap(self.tab.page.get_by_label(text, exact=True).locator("visible=true").first)

    def type(self, label: str, text: str) -> None:
        """Type into a field, and leave it."""
        self.named(label, "input").fill(text)
        self.tab.page.keyboard.press("Tab")
        self.taps, self.keys = self.taps + 1, self.keys + len(text) + 1

    def named(self, label: str, kind: str) -> Any:
        """Return the field of a kind that is called by a label."""
        page = self.tab.page
        return page.get_by_label(label).and_(page.locator(f"{kind}:visible")).first

    def pick(self, label: str, text: str) -> None:
        """Pick an entry of a list."""
        self.named(label, "select").select_option(text)
        self.taps += 2

    def more(self, what: str, times: int = 1) -> None:
        """Touch the button with a plus."""
        for _ in range(times):
            self.tap(self.tab.page.get_by_title(f"{what}: more"))

    def turn_to(self, step: int) -> None:
        """Turn to a step."""
        self.tap(self.tab.page.locator(".lc-nav button").nth(step))
        self.tab.page.locator(".lc-part").nth(step).and_(self.tab.page.locator(".lc-shown")).wait_for()

    def settled(self) -> None:
        """Wait until the page shows what was entered."""
        self.tab.page.wait_for_timeout(250)
        self.tab.page.wait_for_function(SETTLED)


Step = tuple[str, Callable[[Hand], None]]


def said_yes(hand: Hand, trouble: str) -> None:
    """Answer what is seen on the roof."""
    hand.choose("looked, and saw one of these:")
    hand.choose(trouble)


def measured(hand: Hand, front: str, rear: str, fixtures: dict[str, int]) -> None:
    """Measure and count on the roof."""
    hand.more("Length of the coach")
    hand.type("Front cap, not sprayed", front)
    hand.type("Rear cap, not sprayed", rear)
    for kind, number in fixtures.items():
        hand.more(kind, number)


def read_dry(hand: Hand) -> None:
    """Type what a moisture meter reads at four places."""
    hand.type("Wet from, on this meter", "16")
    for place, percent in (("Front cap", 8), ("Rear cap", 9), ("Left edge", 8), ("Right edge", 7)):
        hand.type(place + (" seam" if "cap" in place else ""), str(percent))


def climbs(hand: Hand, answer: str) -> None:
    """Answer whether the customer goes up."""
    box = hand.tab.page.locator(".lc-short", has_text="Will you go up there yourself?")
    hand.tap(box.get_by_label(answer, exact=True))


def asked(hand: Hand, otherwise: str, years: str, age: str, place: str, goes_up: str | None) -> None:
    """Ask what is needed."""
    hand.choose(otherwise)
    if goes_up:
        climbs(hand, goes_up)
    hand.type("most likely", years)
    hand.type("How old is the roof", age)
    hand.pick("Where does it stand", place)


def loaded(hand: Hand) -> None:
    """Load the shop's price list."""
    hand.turn_to(PRICE)
    with hand.tab.page.expect_file_chooser() as chooser:
        hand.tap(hand.tab.page.locator(".widget-upload"))
    chooser.value.set_files(LIST)
    hand.tab.page.get_by_text("Price list loaded").wait_for()
    hand.turn_to(ASK)


USUAL = {"Roof vent": 2, "Air conditioner": 1, "Plumbing vent": 2, "Antenna": 1}

TALKS: dict[str, tuple[Step, ...]] = {
    "new roof, a shop every year, 10 years (invented)": (
        ("before the first customer: load the price list", loaded),
        ("ask", lambda hand: asked(hand, "a shop reseals, every year", "10", "14 months", "Houston", "no")),
        ("walk the roof", lambda hand: (hand.turn_to(WALK), measured(hand, "2.5", "1.5", USUAL))[0]),
        ("the meter is dry", read_dry),
        ("the answer", lambda hand: hand.turn_to(ANSWER)),
    ),
    "six years old, touches up alone, sells after 4 (invented)": (
        ("ask", lambda hand: asked(hand, "I touch up cracks, every year", "4", "6 years", "Denver", "yes")),
        ("walk the roof", lambda hand: (hand.turn_to(WALK), measured(hand, "2", "1", {"Roof vent": 3}))[0]),
        ("the answer", lambda hand: hand.turn_to(ANSWER)),
    ),
    "eleven years old, a soft spot, 8 years (invented)": (
        ("ask, a soft spot first", lambda hand: said_yes(hand, "a soft spot")),
        ("how old it is, for the paper", lambda hand: hand.type("How old is the roof", "11 years")),
        ("what to do, read out", lambda hand: hand.turn_to(ANSWER)),
        ("opened and wet, repaired", lambda hand: opened(hand, "opened: the wood was wet")),
        ("ask", lambda hand: asked(hand, "I only look", "8", "11 years", "Minneapolis", None)),
        ("walk the roof", lambda hand: (hand.turn_to(WALK), measured(hand, "2.5", "1.5", USUAL))[0]),
        ("the answer", lambda hand: hand.turn_to(ANSWER)),
    ),
}  # fmt: skip


def opened(hand: Hand, found: str) -> None:
    """Say what was found once it was open."""
    hand.turn_to(ASK)
    hand.choose(found)
    hand.type("What was repaired", "a panel of plywood")
    hand.type("What did that cost", "640")


OTHERWISE = tuple(choice["text"] for choice in parts()["otherwise"].choices)
YEARS, AGES, CLIMBS = ("3", "8", "20", ""), ("14 months", "12 years"), ("yes", "no", "not sure")


def customers() -> Iterator[tuple[str, str, str, str]]:
    """Go through answers that bring all kinds of first lines about; "" is not sure."""
    for number, one in enumerate(itertools.product((*OTHERWISE, ""), YEARS, AGES)):
        yield (*one, CLIMBS[number % len(CLIMBS)])


def shown(hand: Hand) -> tuple[int, int]:
    """Return the words on the screen, and by how much it is higher than the window."""
    hand.tab.page.evaluate("() => window.scrollTo(0, 0)")
    words = hand.tab.page.locator("body").inner_text().split()
    return sum(any(map(str.isalnum, word)) for word in words), int(hand.tab.page.evaluate(HIGH))


def talk(hand: Hand, steps: tuple[Step, ...]) -> None:
    """Go through one talk and print its steps."""
    total = 0.0
    for name, act in steps:
        hand.taps, hand.keys, begun = 0, 0, time.perf_counter()
        act(hand)
        hand.settled()
        page, by_hand = time.perf_counter() - begun, hand.taps * TAP + hand.keys * KEY
        total += by_hand
        print(f"| {name} | {hand.taps} | {hand.keys} | {page:.1f} | {by_hand:.0f} |", flush=True)
    words, high = shown(hand)
    aloud = 60.0 * words / ALOUD
    print(
        f"| *{hand.tab.text('.lc-word')}* {words} words, {max(0, high)} px beyond the screen | | | |", end=""
    )
    print(f" {total:.0f} + {aloud:.0f} to read = {(total + aloud) / 60.0:.1f} min |", flush=True)


def unsure(hand: Hand, choice: str) -> Any:
    """Return the button "not sure" of the question with a choice or a field."""
    page = hand.tab.page
    box = page.locator(".lc-field").filter(has=page.get_by_label(choice, exact=True))
    return box.get_by_label("not sure", exact=True).first


def answers(hand: Hand) -> None:
    """Print words and pixels of many answers."""
    page = hand.tab.page
    found: list[tuple[int, int, str]] = []
    for otherwise, years, age, goes_up in customers():
        hand.turn_to(ASK)
        (page.get_by_label(otherwise, exact=True) if otherwise else unsure(hand, OTHERWISE[0])).check()
        climbs(hand, goes_up)
        unsure(hand, "most likely").uncheck()
        if years:
            hand.type("most likely", years)
        else:
            unsure(hand, "most likely").check()
        hand.type("How old is the roof", age)
        hand.turn_to(ANSWER)
        hand.settled()
        words, high = shown(hand)
        found.append((high, words, hand.tab.text(".lc-word")))
        customer = "; ".join((otherwise or "not sure", years or "not sure", age, goes_up))
        print(f"{high:5} px, {words} words: {customer}: {found[-1][2]}", flush=True)
    worst, most = max(high for high, _, _ in found), max(words for _, words, _ in found)
    print(f"{len(found)} answers, {len({head for _, _, head in found})} first lines: at most {most} words;")
    print(f"the lowest edge is {worst} px below the screen (below 0: room left)")


def main() -> None:
    """Print every talk, or many answers."""
    print(f"{platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    with serving("counter") as served, chromium() as browser:
        tab = Tab(browser, served.url, TABLET)
        hand = Hand(tab)
        for place, (name, steps) in enumerate(TALKS.items()):
            if place:
                for button in ("New customer", "Yes, wipe it"):
                    tab.page.get_by_role("button", name=button).click()
                tab.page.get_by_text("Wiped. A new customer.").wait_for()
            print(f"\n| {name} | taps | keys | page, s | hand, s |\n|---|---|---|---|---|", flush=True)
            talk(hand, steps)
            if folder := os.environ.get("SHOTS"):
                tab.page.screenshot(path=f"{folder}/talk-{place}.png")
        if "--answers" in sys.argv:
            answers(hand)
        tab.close()


if __name__ == "__main__":
    main()
