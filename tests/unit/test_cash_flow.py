"""Payments by month, discounted by hand, give what the library gives at any rate and year of sale."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import lifecycle
from lifecycle.evaluation.expectation import evaluate
from lifecycle.quantities import Array
from lifecycle.roofs import Case, Loan
from lifecycle.scenario import resolve
from lifecycle.studies.cash_flow import PAID, CashFlow, cash_flow

# A loan and climate; rises of prices, warranty, silent leaks and bad roofs; a half year.
SCENARIOS = ("two-quotes", "worked-example-2", "worked-example-3")

CENT = 1e-6
"""Sums of some thousand amounts in another order: far below a cent. [money]"""


@pytest.fixture(scope="module", params=SCENARIOS)
def both(request: pytest.FixtureRequest) -> tuple[Case, CashFlow]:
    case = resolve(lifecycle.load(f"scenarios/{request.param}.toml"))
    return case, cash_flow(case)


@pytest.mark.parametrize(("rate", "years"), [(0.0, 20.0), (0.03, 7.25), (0.11, 1.0 / 12.0), (-0.02, 3.5)])
def test_payments_discounted_by_hand_are_the_ledger(
    both: tuple[Case, CashFlow], rate: float, years: float
) -> None:
    case, flow = both
    month = round(12.0 * years)
    changed = replace(case, terms=replace(case.terms, discount_rate=rate, holding_period=years))
    worth, counted = (1.0 + rate) ** (-flow.paid / 12.0), flow.counts_from <= month
    sold = (1.0 + rate) ** (-month / 12.0)
    for name, ledger in evaluate(changed).items():
        way = flow.ways[name]
        account = {kind: float((amounts * worth)[counted].sum()) for kind, amounts in way.amounts.items()}
        account["sale"] = float(way.sale.found[month] - way.sale.residual[month]) * sold
        account["financing"] += float(way.sale.balance[month]) * sold
        library = dict.fromkeys(account, 0.0)
        for line, values in ledger.by_category.items():
            library[line.split(":")[0]] += float(values[0])
        assert account == pytest.approx(library, abs=CENT)
        assert sum(account.values()) == pytest.approx(float(ledger.at_holding[0]), abs=CENT)
        first = float((way.first_changes * worth)[counted].sum())
        assert first == pytest.approx(float(ledger.first_change_at_holding[0]), abs=1e-9)
        residual = float(way.sale.residual[month]) * sold
        assert residual == pytest.approx(float(ledger.residual_at_holding[0]), abs=CENT)


def test_every_year_of_sale_is_the_ledgers(both: tuple[Case, CashFlow]) -> None:
    case, flow = both
    rate = float(case.terms.discount_rate)
    for name, ledger in evaluate(case).items():
        way = flow.ways[name]
        paid = np.sum(list(way.amounts.values()), axis=0) * (1.0 + rate) ** (-flow.paid / 12.0)
        at_sale = way.sale.found - way.sale.residual + way.sale.balance
        costs = [
            paid[flow.counts_from <= 12 * year].sum() + at_sale[12 * year] * (1.0 + rate) ** -year
            for year in range(1, case.terms.study_period + 1)
        ]
        assert costs == pytest.approx(ledger.net_present_cost[0, 1:].tolist(), abs=CENT)


def by_year(flow: CashFlow, amounts: Array) -> list[float]:
    """Return the sums of payments by the year of sale that counts them first."""
    years = (flow.counts_from - 1) // 12
    return [float(amounts[years == year].sum()) for year in range(int(years[-1]) + 1)]


def test_sums_by_year_are_what_a_sale_a_year_later_adds(both: tuple[Case, CashFlow]) -> None:
    """What is spent in year N is the account to a sale after N years less that to one after N - 1."""
    case, flow = both
    years = np.arange(1.0, case.terms.study_period + 1.0)
    # The balance of a loan at a sale is no payment of a year.
    plain = replace(case, loan=None, terms=replace(case.terms, holding_period=years, discount_rate=0.0))
    for name, ledger in evaluate(plain).items():
        for category in (one for one in PAID if one != "financing"):
            lines = [line for line in ledger.by_category if line.split(":")[0] == category]
            account = sum((ledger.by_category[line] for line in lines), np.zeros_like(years))
            sums = by_year(flow, flow.ways[name].amounts[category])
            assert sums == pytest.approx(np.diff(account, prepend=0.0).tolist(), abs=CENT)


def test_a_change_today_falls_into_the_first_year_and_a_loan_ends_with_its_last_payment() -> None:
    case = resolve(lifecycle.load("scenarios/worked-example-1.toml"))
    flow = cash_flow(replace(case, loan=Loan("coat_now", 6000.0, 0.0899, 120)))
    now, later = (flow.ways[name].amounts for name in ("coat_now", "coat_later"))
    assert by_year(flow, now["initial"]) == pytest.approx([7100.0] + [0.0] * 19, abs=CENT)
    assert np.argmax(by_year(flow, later["renewal"])) == 8  # after 8 years: paid after the sale in year 8
    financing = by_year(flow, now["financing"])
    assert financing[9] > 0.0 and financing[10:] == pytest.approx([0.0] * 10, abs=CENT)


def test_draws_are_refused(both: tuple[Case, CashFlow]) -> None:
    case, _ = both
    drawn = replace(case, terms=replace(case.terms, discount_rate=np.array([0.01, 0.02])))
    with pytest.raises(ValueError, match="one scenario"):
        cash_flow(drawn)
