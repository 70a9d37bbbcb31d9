"""A shop's price list: filled in, written, read back, and what of it is no part of spraying."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from lifecycle.answers.quote import fixed_made_of, warned
from lifecycle.files import loads_prices
from lifecycle.interview.price_list import price_answers, price_list_text, price_parts
from lifecycle.pages.panels.counter_customer import Asked, Customer, Walk, scenario_of
from lifecycle.places import scenario_path
from lifecycle.quantities import money_text
from lifecycle.quote import TwoForms, counted
from lifecycle.quote.items import Counted
from lifecycle.reading.quotes import PriceList
from lifecycle.studies.quoting import examine

FILLED = {
    "strip": 55.0,
    "primer": 0.5,
    "spray": 235.0,
    "topcoat": 4.0,
    "fixtures": 45.0,
    "look": 95.0,
    "wood": 28.0,
    "reseal": 950.0,
    "touch_up": 260.0,
    "tax": 7.52,
    "deposit": 500.0,
    "validity": "30 days",
    "call_first": 300,
    "warranty_years": 5.0,
    "in_writing": True,
    "warranty_by": 'the shop, not the "maker"',
    "warranty_ends": "a missed topcoat",
    "film": 187.5,
}
DAY = date(2027, 4, 1)
CUSTOMER = Customer(
    {"otherwise": "shop_every_year", "keep": 8, "roof_age": 36},
    Walk({"length": 8.0, "width": 2.4}, {("roof vent", "refit"): 2}),
)


def read(filled: dict[str, object], units: str = "us") -> PriceList:
    """Return the price list that is filled in, as it is read."""
    return loads_prices(price_list_text(filled, units).encode("utf-8"), "prices.toml")


def test_what_is_filled_in_comes_back_whole() -> None:
    assert price_answers(read(FILLED)) == FILLED
    metric = {**FILLED, "film": 4.8}
    assert price_answers(read(metric, "metric"), "metric") == metric


def test_nothing_filled_in_is_the_template_that_is_shipped() -> None:
    template = scenario_path("two-quotes").parent / "prices" / "your-own.toml"
    text = template.read_text(encoding="utf-8")
    assert text == price_list_text({}) and read({}) == PriceList("Price list")
    assert all(f"# {part.ask}" in text for part in price_parts().values())
    lines = (
        line.removeprefix("# ") if " = " in line or "[entries." in line else line for line in text.split("\n")
    )
    bare = "\n".join(line for line in lines if line != "[entries]").replace("film = 0", "film = 125")
    named = {key for key in price_parts() if f"[entries.{key}]" in text}
    assert named and set(loads_prices(bare.encode("utf-8"), "bare").entries) == named


def test_a_reseal_in_the_list_is_no_part_of_the_spray_job() -> None:
    with_upkeep, without = (
        scenario_of(
            CUSTOMER,
            read({key: value for key, value in FILLED.items() if key not in left}),
            "us",
            date(2027, 4, 1),
        )
        for left in ((), ("reseal", "touch_up"))
    )
    price = "figures.coating_quote"
    assert with_upkeep.likely(with_upkeep.inputs[price].likely) == without.likely(
        without.inputs[price].likely
    )
    assert {item.what for item in with_upkeep.quotes["shop"].items} == {
        item.what for item in without.quotes["shop"].items
    }
    reseal = with_upkeep.inputs["figures.shop_reseal_cost"]
    assert (reseal.likely, reseal.basis) == (pytest.approx(950 * 1.0752, abs=0.01), "offer")
    said = Customer({**CUSTOMER.answers, "reseal_price": 640}, CUSTOMER.walk, Asked())
    own = scenario_of(said, read(FILLED), "us", date(2027, 4, 1)).inputs["figures.shop_reseal_cost"]
    assert own.likely == 640.0, "what the customer was asked elsewhere goes before"


def test_what_the_list_promises_stands_in_the_quote_and_in_the_kept_file() -> None:
    quote = scenario_of(CUSTOMER, read(FILLED), "us", date(2027, 4, 1)).quotes["shop"]
    terms = quote.terms
    assert (quote.deposit, quote.call_first, terms.validity) == (500.0, 300.0, "30 days")
    assert (terms.warranty_years, terms.in_writing) == (5.0, True)
    assert (terms.warranty_by, terms.warranty_ends) == (FILLED["warranty_by"], "a missed topcoat")
    assert terms.film == pytest.approx(187.5 * 0.0254)


def test_a_list_with_other_entries_is_not_asked_for_line_by_line() -> None:
    shipped = scenario_path("two-quotes").parent / "prices" / "by-the-foot.toml"
    assert price_answers(loads_prices(shipped.read_bytes(), "by-the-foot.toml")) is None


def test_a_warranty_of_the_list_counts_as_it_is_given() -> None:
    """In writing it is honoured more often than spoken; without years none counts."""
    roofs = {}
    for written in (True, False, None):
        left = (
            {"in_writing": written} if written is not None else {"warranty_years": None, "in_writing": None}
        )
        filled = {key: value for key, value in {**FILLED, **left}.items() if value is not None}
        roofs[written] = scenario_of(CUSTOMER, read(filled), "us", DAY)
    years = {
        written: found.inputs["roofs.coating.warranty_years"].likely
        for written, found in roofs.items()
        if "roofs.coating.warranty_years" in found.inputs
    }
    assert years == {True: 5.0, False: 5.0}
    asked = {written: found.answers.get("warranty_in_writing") for written, found in roofs.items()}
    assert asked[True] is True and asked[False] is False
    assert roofs[True].inputs["roofs.coating.warranty_years"].basis == "offer"


def test_terms_that_hold_the_customer_are_said() -> None:
    whole = {**FILLED, "paper": 60.0}
    heavy = {**whole, "deposit": 6000, "call_first": 5000, "warranty_years": 60}
    plain, said = (
        " ".join(warned(examine(scenario_of(CUSTOMER, read(filled), "us", DAY)).quotes[0], "us", "USD"))
        for filled in (whole, heavy)
    )
    assert not plain
    for words in ("a deposit of 6,000", "without a call up to 5,000", "A warranty of 60 years is longer"):
        assert words in said


@pytest.mark.parametrize("part", ["primer", "topcoat", "strip", "fixtures"])
def test_what_is_not_filled_in_counts_where_the_job_needs_it(part: str) -> None:
    """A list that leaves a part out makes spraying no cheaper than the tool's own price of that part."""
    whole, lacking = (
        scenario_of(CUSTOMER, read({key: value for key, value in FILLED.items() if key != left}), "us", DAY)
        for left in ("", part)
    )
    assert whole.quotes["shop"].itemised and not whole.quotes["shop"].extras
    found = counted(lacking.quotes["shop"])
    assert found.stated < found.least < found.expected < found.most


def test_a_price_that_is_one_number_is_taken_as_stated_and_names_no_part() -> None:
    quote = scenario_of(replace(CUSTOMER, asked=Asked(8130.0, wood=300.0)), None, "us", DAY).quotes["shop"]
    assert counted(quote) == Counted(8130.0, 8130.0, 8130.0, 8130.0) and quote.covered == ()


@pytest.mark.parametrize(
    "money", [(7526.4, 47.4, 72.4), (7526.5, 0.5, 0.5), (1000.0, 0.0, 0.0), (999.5, 0.4, 0.2)]
)
def test_the_parts_of_a_fixed_price_add_up_to_the_unit(money: tuple[float, float, float]) -> None:
    forms = TwoForms(money[0], None, None, money[1], money[2])
    said = fixed_made_of(forms, "USD").replace(",", "")
    numbers = [int(word) for word in said.replace(".", " ").split() if word.isdigit()]
    assert sum(numbers[:3]) == int(money_text(forms.all_in).replace(",", "")), said
    assert min(numbers[:3]) >= 0
