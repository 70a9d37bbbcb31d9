"""The page for the counter in process: its order, its price, trouble, wiping, and what it says."""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Iterator
from datetime import date, datetime
from html import unescape
from pathlib import Path
from typing import Any

import ipywidgets
import pytest

from lifecycle.answers.blocks import Table
from lifecycle.answers.claims import offer_lines
from lifecycle.answers.papers import gather, offer
from lifecycle.cli.main import main
from lifecycle.errors import ScenarioError
from lifecycle.evaluation.comparison import compare
from lifecycle.files import load, loads, loads_prices
from lifecycle.interview.price_list import price_list_text
from lifecycle.language.sentences import say, words
from lifecycle.language.verdict import verdict_under
from lifecycle.pages.panels.counter import CounterPage
from lifecycle.pages.panels.counter_answer import FOLDED, PRICE_WORDS, SCREEN_WORDS, counted_words
from lifecycle.pages.panels.counter_customer import Asked, Customer, Walk, roof_of, scenario_of, still_needed
from lifecycle.places import scenario_path
from lifecycle.quantities import convert, money_text
from lifecycle.studies.assessment import brief
from lifecycle.writers.terminal import as_text
from tests.house.test_language import expert_words

pytestmark = pytest.mark.usefixtures("few_lives")

TODAY = date(2027, 4, 1)
DRAWS = 64
LIST = scenario_path("two-quotes").parent / "prices" / "by-the-foot.toml"
MEASURES = {"length": "24", "width": "8", "front_cap": "2.5", "rear_cap": "1.5", "edge": "3"}
THROUGH = {
    "refit": {"Plumbing vent": "2", "Powered fan": "1", "Air conditioner": "1", "Skylight": "1"},
    "replace": {"Roof vent": "1"},
    "remove": {"Antenna": "1"},
}
STOPPED = "Spraying over wet wood shuts the water in."


def walked(page: CounterPage) -> None:
    """Walk the roof of the coach in the shipped file with two quotes; one plan is drawn."""
    for fate, counts in THROUGH.items():
        page.walk.fate.value = fate
        for kind, text in counts.items():
            page.walk.counts[kind.lower()].text.value = text
    page.walk.deck.value = "plywood"
    for name, text in reversed(MEASURES.items()):
        page.walk.measures[name].text.value = text


def asked(page: CounterPage) -> None:
    """Answer what is needed."""
    fields = page.questions.fields
    fields["climbs"].controls["chosen"].value = True
    fields["place"].controls["chosen"].value = "Denver"
    fields["otherwise"].controls["chosen"].value = "shop_every_year"
    fields["keep"].controls["likely"].value = "10"
    fields["roof_age"].controls["typed"].value = "26 months"


def answered_page() -> CounterPage:
    """Return a page with a whole customer."""
    page = CounterPage(today=TODAY, draws=DRAWS)
    walked(page)
    page.price.amounts["cap"].text.value = "11500"
    page.price.amounts["exit_price"].text.value = "900"
    asked(page)
    page.price.use(loads_prices(LIST.read_bytes(), LIST.name))
    return unfolded(page)


def unfolded(page: CounterPage) -> CounterPage:
    """Return a page with all of its answer open."""
    for fold in page.answer.folds.values():
        if not fold.open:
            fold.turn()
    return page


def title(name: str) -> str:
    """Return the button of an open part of the answer."""
    return f"▾ {say(f'counter.folds.{name}')}"


@pytest.fixture(scope="module")
def counter() -> CounterPage:
    """Return a page with a whole customer, only to be read."""
    return answered_page()


FOOT = convert(1.0, "ft", "m")
ANSWERS = {
    "climbs": True,
    "place": "Denver",
    "otherwise": "shop_every_year",
    "keep": 10,
    "roof_age": 26,
}
WALK = Walk(
    {
        name: convert(float(text), "in", "mm") if name == "edge" else float(text) * FOOT
        for name, text in MEASURES.items()
    },
    {(kind.lower(), fate): int(text) for fate, counts in THROUGH.items() for kind, text in counts.items()},
    "plywood",
)
ASKED = Asked(cap=11500.0, exit_price=900.0)


def test_what_is_typed_is_the_customer(counter: CounterPage) -> None:
    assert dict(counter.customer.answers) == ANSWERS and counter.customer.asked == ASKED
    assert counter.customer.walk.through == WALK.through and counter.customer.walk.deck == WALK.deck
    assert counter.customer.walk.measures == pytest.approx(WALK.measures)


def copied() -> CounterPage:
    """Return a page with the same customer, to be used."""
    whole = Customer(ANSWERS, WALK, ASKED)
    page = CounterPage(today=TODAY, draws=DRAWS)
    page._show(whole)
    page.price.use(loads_prices(LIST.read_bytes(), LIST.name))
    return unfolded(page)


def widgets(widget: Any) -> Iterator[Any]:
    """Go through the widgets of a page from top to bottom, but for those that are hidden."""
    if widget.layout.display == "none":
        return
    yield widget
    for child in getattr(widget, "children", ()):
        yield from widgets(child)


def texts_of(page: CounterPage) -> list[str]:
    """Return what a page shows, from top to bottom, without its style."""
    found = []
    for widget in widgets(page.box):
        value, said = getattr(widget, "value", ""), getattr(widget, "description", "")
        shown = [said, value] if isinstance(value, str) else [said]
        for text in shown:
            found += lines_in(text)
    return found


def lines_in(markup: str) -> list[str]:
    """Return the lines of a piece of markup as text."""
    plain = re.sub(r"<style>.*?</style>", "", markup, flags=re.DOTALL)
    pieces = re.split(r"</?(?:p|li|td|th|h\d|div|tr|table|ul)\b[^>]*>", plain)
    found = [unescape(re.sub(r"<[^>]+>", "", piece)).strip() for piece in pieces]
    return [text for text in found if text]


def shown_by(page: CounterPage) -> str:
    return "\n".join(texts_of(page))


def prices_in(text: str) -> list[str]:
    """Return the prices of the list, or of the job, that a text shows."""
    numbers = ("7,526", "235 a ft", "55 a ft", "30.11", "4,700", "376", "11,500")
    return [number for number in numbers if number in text]


def test_the_answer_stands_in_its_order(counter: CounterPage) -> None:
    texts = texts_of(counter)
    first = texts.index(say("counter.answer.price"))
    places = [texts.index(title(name)) for name in FOLDED]
    assert [first, *places] == sorted([first, *places])
    price = next(place for place, text in enumerate(texts) if "7,526" in text)
    said = next(place for place, text in enumerate(texts) if text.startswith("Against what you would do"))
    why = next(place for place, text in enumerate(texts) if text.startswith("Why, on 20 such coaches"))
    assert said < why < first < price


def test_why_is_told_with_the_figures_of_the_two_ways(counter: CounterPage) -> None:
    scenario = counter.scenario()
    assert scenario is not None
    parts = verdict_under(compare(brief(scenario, draws=DRAWS).scenario), brief(scenario, draws=DRAWS)).parts
    ways = compare(brief(scenario, draws=DRAWS).scenario).ways
    assert parts.leads is not None and parts.leads_over is not None
    pair = ways[parts.leads], ways[parts.leads_over]
    told = (
        r"new roofs (\d+) against (\d+), new leaks (\d+) against (\d+); upkeep ([\d,]+) against ([\d,]+) USD"
    )
    found = re.search(told, shown_by(counter))
    assert found is not None
    numbers = [float(text.replace(",", "")) for text in found.groups()]
    assert numbers[:4] == [round(20 * way.expected[name]) for name in ("renewals", "leaks") for way in pair]
    assert numbers[4:] == pytest.approx([way.by_category["upkeep"] for way in pair], rel=0.05)


def test_no_price_is_shown_before_the_verdict() -> None:
    page = CounterPage(today=TODAY, draws=DRAWS)
    page.price.use(loads_prices(LIST.read_bytes(), LIST.name))
    walked(page)
    assert page.answer.word is None and not prices_in(shown_by(page))
    assert "what you would do otherwise, how long you will keep it and the age of the roof" in shown_by(page)
    seen = []
    show = page.answer.show_first

    def show_first(answer: Any) -> None:
        show(answer)
        seen.append((page.answer.word, prices_in(shown_by(page))))

    page.answer.show_first = show_first  # type: ignore[method-assign]
    asked(page)
    assert seen and all(word and not prices for word, prices in seen)
    assert prices_in(shown_by(page))


def test_an_answer_that_is_worked_out_anew_is_marked_on_its_boxes(counter: CounterPage) -> None:
    """A mark on a text would wipe out what is being typed, and paint pictures anew."""
    counter.answer.working(())
    marked = [one for one in widgets(counter.box) if "lc-old" in one._dom_classes]
    counter.answer.failed()
    texts = [one for one in widgets(counter.box) if isinstance(one, ipywidgets.HTML)]
    inside = [text for box in marked for text in widgets(box) if text in texts]
    assert {counter.answer.first, counter.answer.screen, counter.answer.price} <= set(inside)
    assert not set(marked) & set(texts)
    assert not any("lc-old" in one._dom_classes for one in widgets(counter.box))


def test_the_verdict_is_that_of_the_library(counter: CounterPage) -> None:
    scenario = counter.scenario()
    assert scenario is not None
    found = brief(scenario, draws=DRAWS)
    comparison = compare(found.scenario)
    verdict = verdict_under(comparison, found)
    text = shown_by(counter)
    assert counter.answer.word == verdict.parts.word
    assert all(piece in text for _, piece in verdict.pieces)
    assert all(line in text for line in offer_lines(comparison, found.doubt))


@pytest.mark.parametrize("unsure", [(), ("keep",), ("otherwise",), ("keep", "otherwise")], ids=str)
def test_a_long_answer_keeps_to_its_screen_and_the_rest_is_one_touch_away(unsure: tuple[str, ...]) -> None:
    page = CounterPage(today=TODAY, draws=DRAWS)
    answers = {"otherwise": "shop_every_year", "keep": 20, "roof_age": 144, "place": "Minneapolis"}
    answers |= dict.fromkeys(unsure, "not sure")
    page._show(Customer(answers, WALK, Asked(number=9467.0)))
    scenario = page.scenario()
    assert scenario is not None
    found = brief(scenario, draws=DRAWS)
    verdict = verdict_under(compare(found.scenario), found)
    screen = [line for box in (page.answer.first, page.answer.screen) for line in lines_in(box.value)]
    waits = " ".join(lines_in(page.answer.folded["figures"].value))
    assert counted_words(screen) <= SCREEN_WORDS
    texts = dict(verdict.pieces)
    assert texts["next"] in screen and all(one in " ".join([*screen, waits]) for one in texts.values())


def test_what_spraying_is_worth_is_said_before_its_price(counter: CounterPage) -> None:
    five = counter.answer.folded["price"].value
    worth = re.search(r"The highest price for [^<]*", five)
    assert worth is not None and "against" in worth[0]
    assert worth.end() < five.index("price of a sound job")


def test_the_price_is_that_of_the_command_from_the_kept_file(
    counter: CounterPage, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scenario = counter.scenario()
    assert scenario is not None
    kept = tmp_path / "kept.toml"
    kept.write_text(scenario.text, encoding="utf-8")
    assert main(["quote", str(kept), "--json"]) == 0
    quote = json.loads(capsys.readouterr().out)["scenarios"][0]["quotes"]["shop"]
    forms = quote["two_forms"]
    text = shown_by(counter)
    assert f"{money_text(forms['sound'])} USD for a sound roof, new wood at" in text
    assert f"{money_text(forms['sound'])} USD with tax for a sound roof; new wood" in text
    assert f"Or {money_text(forms['all_in'])} USD, whatever is found." in text
    assert f"never above {money_text(forms['cap'])}" in text
    made = ", ".join(money_text(forms[name]) for name in ("mean_extra",))
    assert f"{money_text(forms['all_in'])} USD fixed, whatever is found." in text
    assert f"made of {money_text(forms['sound'])} USD for a sound roof, {made}" in text
    assert f"Stopping once the roof is open costs {money_text(quote['terms']['exit_price'])} USD." in text
    shipped = load(scenario_path("two-quotes")).quotes["by_the_foot"]
    assert sum(item.cost for item in scenario.quotes["shop"].sound) == pytest.approx(
        sum(item.cost for item in shipped.sound)
    )


def test_the_offer_is_a_suggestion_in_the_order_of_the_counter_and_adds_up(counter: CounterPage) -> None:
    scenario = counter.scenario()
    assert scenario is not None
    gathered = gather(scenario, draws=DRAWS)
    made = offer(gathered)
    assert made is not None
    text = as_text(made)
    assert text.index("binds nobody until the shop has signed") < text.index(gathered.answer.lines[0][:40])
    assert (
        text.index(gathered.answer.lines[0][:40])
        < text.index("7,526")
        < text.index("Binding once it is signed")
    )
    assert "suggestions until the shop signs" in text and "The highest price" not in text
    rows = next(block for block in made.blocks if isinstance(block, Table)).rows
    total = next(place for place, row in enumerate(rows) if row[0] == say("quote.rows.sound"))
    costs = [int(row[-1].replace(",", "")) for row in rows[: total + 1]]
    assert len(costs) > 6 and sum(costs[:-1]) == costs[-1] == 7526


def test_what_keeps_a_price_from_holding_stands_on_the_screen_beside_it() -> None:
    page = copied()
    plain = page.answer.price.value
    assert "counts as" not in plain and "limits nothing" not in plain
    box = next(one for one in page.price.entries.children if one.description == "topcoat against the sun")
    box.value = False
    page.price.amounts["cap"].text.value = "1000000"
    said = page.answer.price.value
    assert "1 part of the job left out." in said and "it counts as 7,526 USD, at most 7,526" in said
    assert "So high a cap limits nothing." in said
    shown = [line for one in page.answer._parts()[:3] for line in lines_in(one.value)]
    assert counted_words(shown) <= SCREEN_WORDS + PRICE_WORDS


def test_what_hangs_on_the_word_of_the_shop_stays_on_the_screen() -> None:
    """An inflated reseal in the list of the shop."""
    page = CounterPage(today=TODAY, draws=DRAWS)
    filled = price_list_text(
        {"strip": 55, "primer": 1, "spray": 300, "topcoat": 4, "fixtures": 45, "reseal": 2400}
    )
    page.price.use(loads_prices(filled.encode("utf-8"), "list"))
    page._show(Customer({**ANSWERS, "climbs": False, "place": "Minneapolis", "roof_age": 32}, WALK, Asked()))
    screen = " ".join(lines_in(page.answer.screen.value))
    assert "the shop's word on the price of a reseal" in screen
    assert "2 figures from the shop" in screen


def test_with_trouble_there_is_no_offer() -> None:
    page = copied()
    page.questions.fields["trouble"].controls["chosen"].value = "seen"
    page.questions.fields["trouble"].controls["bubble"].value = True
    scenario = page.scenario()
    assert scenario is not None and offer(gather(scenario, draws=DRAWS)) is None


def test_the_kept_file_needs_no_price_list_and_gives_the_same_verdict(counter: CounterPage) -> None:
    scenario = counter.scenario()
    assert scenario is not None
    again = loads(scenario.text)
    assert again.inputs == scenario.inputs and again.quotes == scenario.quotes
    assert again.answers["quote"] == pytest.approx(7526.4)


def test_every_row_of_other_work_says_when_it_is_the_cheaper_choice(counter: CounterPage) -> None:
    text = shown_by(counter)
    rows = text.split("when it is the cheaper choice\n")[1].split(title("unseen"))[0]
    for work in ("A yearly look with touch-up", "A reseal every third year", "A moisture check today"):
        assert work in rows
    assert rows.count("A price for later") == 2
    assert len(re.findall(r"cheaper than spraying now in .*?futures", rows)) == 4
    assert len(re.findall(r"cheaper choice|is cheaper|cheaper than", rows)) >= 5


def test_what_nobody_looked_at_is_said_last(counter: CounterPage) -> None:
    texts = texts_of(counter)
    last = texts[texts.index(title("unseen")) :]
    assert any("moisture" in text for text in last)
    assert not any("measured the width" in text for text in last)
    chance = r"(\d+ of [\d,]+|Fewer than 1 in 40)"
    assert re.search(rf"{chance} coaches like this (has|have) wet wood", shown_by(counter))


def test_trouble_stops_the_comparison() -> None:
    page = copied()
    assert page.answer.word is not None
    page.folds["said"].turn()
    page.said.demand.start.click()
    assert "cheaper in" in page.said.demand.result.children[0].value
    page.walk.limit.text.value = "16"
    page.walk.readings["old stain"].text.value = "22"
    stopped_by(page, "a reading above the limit")
    page.questions.fields["trouble"].controls["chosen"].value = "seen"
    page.questions.fields["trouble"].controls["soft spot"].value = True
    page.walk.readings["old stain"].text.value = ""
    stopped_by(page, "soft spot")
    page.said.demand.start.click()
    said = shown_by(page)
    assert "I may not say" in said and "cheaper in" not in said


def stopped_by(page: CounterPage, seen: str) -> None:
    """Check that nothing is compared, no price is shown, and what to open and whom to call stands there."""
    text = shown_by(page)
    assert page.answer.word is None and "Stay off it. Open it first." in text and STOPPED in text
    assert f"Seen: {seen}." in text and words("trouble.what")[seen] in text and "inspector of coaches" in text
    assert not prices_in(text) and not re.search(r"cheaper|dearer", text)
    assert not any(title(name) in text for name in FOLDED)
    scenario = page.scenario()
    assert scenario is not None and scenario.trouble == (seen,)
    assert loads(scenario.text).trouble == (seen,), "the kept file stops as the page does"


def test_trouble_is_a_path_that_goes_on_once_it_was_opened() -> None:
    page = copied()
    fields = page.questions.fields
    assert fields["opened"].box.layout.display == "none"
    fields["trouble"].controls["chosen"].value = "seen"
    fields["trouble"].controls["stain"].value = True
    stopped_by(page, "stain")
    assert fields["opened"].box.layout.display == ""
    fields["opened"].controls["chosen"].value = "gone"
    assert page.answer.word is None and say("counter.answer.gone_open") in shown_by(page)
    fields["opened"].controls["chosen"].value = "wet"
    assert page.answer.word is None and say("counter.answer.wet_open") in shown_by(page)
    fields["repaired"].controls["typed"].value = "one panel of plywood"
    fields["repair_cost"].controls["typed"].value = "640"
    assert page.answer.word is not None
    told = "There was trouble: stain. It was opened, and the wood was wet; repaired: one panel of plywood."
    assert told in texts_of(page) and say("counter.answer.opened_wet") in shown_by(page)
    scenario = page.scenario()
    assert scenario is not None and scenario.seen.opened is not None and scenario.seen.opened.cost == 640.0
    assert loads(scenario.text).seen == scenario.seen


def test_the_paper_of_a_closed_roof_needs_no_price_but_an_age() -> None:
    page = CounterPage(today=TODAY, draws=DRAWS)
    page.questions.fields["trouble"].controls["chosen"].value = "seen"
    page.questions.fields["trouble"].controls["bubble"].value = True
    assert page.scenario() is None and "Stay off it." in shown_by(page)
    page.questions.fields["roof_age"].controls["typed"].value = "6 years"
    scenario = page.scenario()
    assert scenario is not None and scenario.trouble == ("bubble",) and not scenario.quotes


def test_a_dry_meter_counts_and_ends_the_sale_of_a_check() -> None:
    page = copied()
    before = re.search(r"(\S+ of [\d,]+) coaches like this (?:has|have) wet wood", shown_by(page))
    assert before is not None and "A moisture check today" in shown_by(page)
    for number, place in enumerate(words("counter.walk.places")):
        page.walk.readings[place].text.value = str(8 + number % 3)
    assert say("counter.walk.limit_needed") in shown_by(page) and before[0] in shown_by(page)
    page.walk.limit.text.value = "15"
    text = shown_by(page)
    assert say("counter.walk.limit_needed") not in text
    assert "A moisture check today" not in text and before[0] not in text
    assert re.search(r"coaches like this, dry at 10 places, (has|have) wet wood", text)
    assert words("quote.unseen")["deck"] not in text
    assert "they do not rule it out" in text
    scenario = page.scenario()
    assert scenario is not None and scenario.existing.dry_places == 10


def test_a_file_written_by_hand_gives_its_own_answer_and_says_what_a_change_would_lose() -> None:
    scenario = load(scenario_path("two-quotes"))
    page = unfolded(CounterPage(scenario, today=TODAY, draws=DRAWS))
    found = brief(scenario, draws=DRAWS)
    head = verdict_under(compare(found.scenario), found).lines[0]
    assert head in shown_by(page) and page.scenario() is scenario
    lost = page.status.value
    assert "as it stands" in lost and "its quotes" in lost and "figures of its own" in lost
    page.questions.fields["keep"].controls["likely"].value = "6"
    assert "From now on" in page.status.value and "its quotes" in page.status.value
    assert page.scenario() is not scenario


def test_a_file_without_a_quote_line_by_line_is_answered() -> None:
    page = unfolded(CounterPage(load(scenario_path("humid-coast-motorhome")), today=TODAY, draws=DRAWS))
    assert page.answer.word is not None and say("counter.answer.no_quote") in shown_by(page)


def test_a_new_customer_wipes_all_but_the_price_list() -> None:
    page = copied()
    page.new.button.click()
    assert page.new.box.layout.display == "" and page.answer.word is not None
    page.new.no.click()
    assert page.new.box.layout.display == "none" and page.customer.answers["place"] == "Denver"
    page.new.yes.click()
    assert page.customer == Customer() and page.walk.walk == Walk() and page.answer.word is None
    assert page.session.scenario is None and not page.session.can_undo
    assert page.prices is not None and page.prices.title in shown_by(page)
    assert not prices_in(shown_by(page))
    assert all(stepper.text.value == "" for stepper in page.walk.measures.values())
    assert all(amount.text.value == "" for amount in page.price.amounts.values())
    assert page.questions.fields["place"].answer is None
    assert not any(part.value for part in page.answer._parts() if part is not page.answer.first)


def test_a_price_can_be_one_number() -> None:
    page = CounterPage(today=TODAY, draws=DRAWS)
    asked(unfolded(page))
    assert "a price list, or a price" in shown_by(page)
    page.price.amounts["wood"].text.value = "30"
    page.price.amounts["number"].text.value = "8130"
    scenario = page.scenario()
    assert scenario is not None and scenario.likely(scenario.inputs["figures.coating_quote"].likely) == 8130.0
    assert "8,130 USD for a sound roof, new wood at 30 a sq ft, no cap." in shown_by(page)
    assert say("counter.answer.unsaid") in shown_by(page) and "left out" not in page.answer.price.value
    assert "The coach is not measured: no amount can be checked." in shown_by(page)


def test_steppers_begin_at_the_usual_coach_and_explain_what_is_wrong() -> None:
    page = CounterPage(today=TODAY, draws=DRAWS)
    length, cap = page.walk.measures["length"], page.walk.measures["front_cap"]
    length.more.click()
    assert length.text.value == "26"
    length.more.click()
    assert length.text.value == "26.5" and page.customer.walk.measures["length"] == pytest.approx(
        convert(26.5, "ft", "m")
    )
    length.text.value = "900"
    assert "must be a number from" in length.message.value and length.value == 26.5
    length.text.value = "26.5"
    cap.text.value = "26.4"
    assert "leave a roof between the caps" in cap.message.value
    assert "front_cap" not in page.customer.walk.measures


def test_what_goes_through_the_roof_is_counted_by_kind_and_fate() -> None:
    page = CounterPage(today=TODAY, draws=DRAWS)
    walk = page.walk
    assert page.customer.walk.through is None
    walk.counts["roof vent"].more.click()
    walk.counts["roof vent"].more.click()
    walk.fate.value = "replace"
    walk.counts["roof vent"].more.click()
    assert page.customer.walk.through == {("roof vent", "refit"): 2, ("roof vent", "replace"): 1}
    assert "2 taken off and put back" in walk.counts["roof vent"].label.value
    walk.fate.value = "refit"
    walk.counts["roof vent"].less.click()
    walk.counts["roof vent"].less.click()
    assert page.customer.walk.through == {("roof vent", "replace"): 1}
    walk.none.click()
    assert page.customer.walk.through == {} and "nothing goes through the roof" in shown_by(page)


def test_the_roof_plan_follows_the_walk(counter: CounterPage) -> None:
    shape = counter.walk.plan.value
    assert shape.startswith("<img alt=") and "20 ft are sprayed" in shape and "2 plumbing vents" in shape
    empty = CounterPage(today=TODAY, draws=DRAWS)
    assert empty.walk.plan.layout.display == "none"
    empty.walk.measures["length"].more.click()
    first = empty.walk.plan.value
    empty.walk.measures["length"].more.click()
    assert first and empty.walk.plan.value != first
    assert "base coating" in shown_by(empty)


def test_an_error_says_a_sentence_and_the_last_answer_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    page = copied()
    before, word = page.answer.folded["price"].value, page.answer.word

    def broken(*_: object) -> None:
        raise RuntimeError("out of paper")

    monkeypatch.setattr("lifecycle.pages.panels.counter.examine", broken)
    page.price.amounts["exit_price"].text.value = "950"
    assert "Something went wrong in this program" in page.status.value
    assert page.answer.folded["price"].value == before and page.answer.word == word
    monkeypatch.undo()
    page.price.amounts["cap"].text.value = "3000"
    assert "must not be below the price of a sound job" in page.price.amounts["cap"].message.value
    assert page.customer.asked.cap == 11500.0
    upload = {
        "name": "mine.toml",
        "type": "",
        "size": 9,
        "content": b"title = 3",
        "last_modified": datetime.now(),
    }
    page.price.load.value = (upload,)
    assert "That does not work" in page.status.value and page.prices is not None


def test_a_file_is_shown_with_its_walk_and_other_units_keep_it(counter: CounterPage) -> None:
    scenario = counter.scenario()
    assert scenario is not None
    other = CounterPage(scenario, today=TODAY, draws=DRAWS)
    assert other.customer.answers == counter.customer.answers
    assert other.customer.walk.through == counter.customer.walk.through
    assert other.answer.word == counter.answer.word
    shown = other.customer
    other.unit_buttons.value = "metric"
    assert other.customer == shown and other.answer.word == counter.answer.word
    length = float(other.walk.measures["length"].text.value)
    assert length == pytest.approx(convert(24, "ft", "m"), abs=1e-3)
    price = other.answer.folded["price"].value
    assert " a m" in price and " a ft" not in price


def test_no_expert_word_stands_without_its_meaning(counter: CounterPage) -> None:
    empty = CounterPage(today=TODAY, draws=DRAWS)
    own_words = {entry["what"] for entry in loads_prices(LIST.read_bytes(), LIST.name).entries.values()}
    texts = tuple(text for text in (*texts_of(counter), *texts_of(empty)) if text not in own_words)
    assert not expert_words(texts)


def test_who_is_not_sure_gets_every_way_in_the_same_order() -> None:
    page = CounterPage(today=TODAY, draws=DRAWS)
    unsure = {**ANSWERS, "otherwise": "not sure"}
    page._show(Customer(unsure, WALK, Asked(number=8130.0)))
    scenario = page.scenario()
    assert scenario is not None
    found = brief(scenario, draws=DRAWS)
    lines = verdict_under(compare(found.scenario), found).lines
    ways = [line for line in lines if line.startswith("- ")]
    texts = texts_of(page)
    assert page.answer.word == "no single verdict" and len(ways) >= 3
    price = texts.index(say("counter.answer.price"))
    assert all(texts.index(way.removeprefix("- ")) < price for way in ways)
    assert texts.index(lines[-1]) < price


def test_a_job_with_nothing_in_it_is_refused() -> None:
    prices = loads_prices(LIST.read_bytes(), LIST.name)
    nothing = Customer(ANSWERS, WALK, Asked(left_out=frozenset(prices.entries)))
    with pytest.raises(ScenarioError, match="must have something that is done in any case"):
        scenario_of(nothing, prices, "us", TODAY)
    wood = frozenset(name for name, entry in prices.entries.items() if not entry.get("contingent"))
    with pytest.raises(ScenarioError, match="must have something that is done in any case"):
        scenario_of(Customer(ANSWERS, WALK, Asked(left_out=wood)), prices, "us", TODAY)


def test_a_price_list_by_the_foot_needs_the_length() -> None:
    prices = loads_prices(LIST.read_bytes(), LIST.name)
    whole: dict[str, Any] = {"otherwise": "nothing", "keep": 8, "roof_age": 14}
    assert still_needed(Customer(whole), prices) == ("the length of the coach", "what goes through the roof")
    counted = Customer(whole, Walk({"length": 8.0}, {}))
    assert still_needed(counted, prices) == ()
    assert roof_of(counted.walk, "us", TODAY).coach is not None


def test_the_price_list_is_filled_in_on_the_page_and_checked_as_it_is_typed() -> None:
    page = CounterPage(today=TODAY, draws=DRAWS)
    page._show(Customer(ANSWERS, WALK))
    page.price.form.turn()
    fields = page.price.fields
    fields["wood"].controls["typed"].value = "28"
    assert page.prices is None and words("counter.price.no_job") in page.price.save.value
    fields["spray"].controls["typed"].value = "2 thirty"
    assert "is no answer" in fields["spray"].message.value and page.prices is None
    fields["spray"].controls["typed"].value = "235"
    fields["reseal"].controls["typed"].value = "950"
    assert fields["in_writing"].box.layout.display == "none"
    fields["warranty_years"].controls["typed"].value = "5"
    assert fields["in_writing"].box.layout.display == ""
    fields["in_writing"].controls["chosen"].value = True
    assert page.prices is not None and set(page.prices.entries) == {"spray", "wood", "reseal"}
    assert page.answer.word is not None
    scenario = page.scenario()
    assert scenario is not None and [item.what for item in scenario.quotes["shop"].sound] == [
        "mask, spray the base coat, over the edges"
    ]
    assert scenario.quotes["shop"].terms.in_writing is True
    kept = re.search(
        r'download="prices.toml" href="data:application/toml;base64,([^"]+)"', page.price.save.value
    )
    assert kept is not None
    again = loads_prices(base64.b64decode(kept[1]), "prices.toml")
    assert again == page.prices
    other = CounterPage(today=TODAY, draws=DRAWS)
    other.price.use(again)
    other.price.form.turn()
    assert other.price.fields["spray"].controls["typed"].value == "235"
    other.price.use(loads_prices(LIST.read_bytes(), LIST.name))
    assert words("counter.price.by_hand") in shown_by(other)
