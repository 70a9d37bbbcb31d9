"""The worked examples of the model's text, and the figures printed there.

Source: the model's text, section 12 (transcribed). Numbers are set for the examples: no real coach.
"""

from __future__ import annotations

from dataclasses import replace

from lifecycle.roofs import Alternative, Case, Existing, HiddenLeak, Leaks, Loan, Roof, Terms, Visit

TERMS = Terms(study_period=20, holding_period=8, discount_rate=0.03, day_cost=120.0, hour_value=20.0)

LEAKS = Leaks(
    sign_rate=1.2,
    patch_cost=350.0,
    rot_cost=7500.0,
    rot_time=2.0,
    severe_after=1.0,
    severe_days=5.0,
    patch_days=1.0,
    insured_share=0.4,
    deductible=750.0,
    found_at_sale=0.5,
)

MEMBRANE = Roof(
    name="membrane",
    life_shape=3.5,
    life_scale=17.0,
    joint_leaks_first_year=0.06,
    joint_leak_growth=2.0,
    puncture_rate=0.05,
    renew_cost=6200.0,
    renew_days=5.0,
    resale_share=0.1,
    visits=(
        Visit("reseal", 12, cost=950.0, finds=0.6, restores=1.0),
        Visit("inspection", 3, hours=1.0, finds=0.35),
        Visit("touch-up", 6, cost=40.0, hours=1.5, finds=0.2, restores=0.3),
    ),
)

COATING = Roof(
    name="coating",
    life_shape=3.0,
    life_scale=30.0,
    joint_leaks_first_year=0.004,
    joint_leak_growth=1.0,
    puncture_rate=0.012,
    renew_cost=7400.0,
    renew_days=3.0,
    resale_share=0.2,
    warranty_years=10.0,
    warranty_share=0.8,
    visits=(
        Visit("inspection", 12, hours=1.0, finds=0.4),
        Visit("topcoat", 120, cost=1400.0, days=2.0),
    ),
)

EXISTING = Existing(
    roof=MEMBRANE,
    age=36,
    seal_age=10,
    hidden_now=(HiddenLeak(8, joint=0.10, puncture=0.05), HiddenLeak(20, joint=0.02, puncture=0.01)),
)

MEMBRANE_2 = replace(
    MEMBRANE,
    joint_leaks_first_year=0.02,
    age_leaks_ten_years=0.4,
    age_leak_growth=2.2,
    ends_by_leak=0.5,
    upkeep_exponent=0.2,
    ageing=1.1,
    warranty_years=6.0,
    warranty_share=0.5,
    energy_cost=12.0,
    visits=(
        Visit("reseal", 36, cost=950.0, hours=2.0, days=1.0, finds=0.5, restores=1.0),
        Visit("inspection", 6, hours=1.0, finds=0.3),
        Visit("touch-up", 12, cost=40.0, hours=3.0, finds=0.3, restores=0.4),
    ),
)

COATING_2 = replace(
    COATING,
    age_leaks_ten_years=0.1,
    age_leak_growth=2.0,
    ends_by_leak=0.2,
    ageing=1.1,
    defect_share=0.08,
    defect_life=1.5,
    energy_cost=4.0,
    visits=(
        Visit("inspection", 6, hours=1.0, finds=0.3),
        Visit("topcoat", 96, cost=1400.0, days=2.0, finds=0.2, rejuvenates=0.3),
    ),
)

MEMBRANE_3 = replace(
    MEMBRANE,
    life_shape=0.8,
    life_scale=25.0,
    joint_leaks_first_year=3.0 / 10.0**1.9,
    joint_leak_growth=1.9,
    upkeep_exponent=0.5,
    visits=(
        Visit("reseal", 48, cost=900.0, finds=0.6, restores=1.0),
        Visit("inspection", 6, hours=1.0, finds=0.35),
    ),
)


def keep(membrane: Roof) -> Alternative:
    return Alternative(
        "keep", "keep", membrane, membrane, None, membrane.renew_cost, membrane.renew_days, base_case=True
    )


def coat(
    name: str, membrane: Roof, coating: Roof, month: int | None, quote: float, days: float
) -> Alternative:
    return Alternative(name, name, membrane, coating, month, quote, days, subject=name == "coat_now")


def example_1() -> Case:
    return Case(
        TERMS,
        LEAKS,
        EXISTING,
        (
            keep(MEMBRANE),
            coat("coat_now", MEMBRANE, COATING, 0, 7100.0, 4.0),
            coat("coat_later", MEMBRANE, COATING, 96, 7100.0, 4.0),
            coat("coat_at_end", MEMBRANE, COATING, None, 7100.0, 4.0),
        ),
    )


def example_2(seal_age: int = 36) -> Case:
    return Case(
        replace(TERMS, escalation={"upkeep": 0.01, "leak damage": 0.005}),
        replace(LEAKS, silent_share=0.4, sudden_within=0.3),
        Existing(roof=MEMBRANE_2, age=84, seal_age=seal_age, hidden_now=None),
        (
            keep(MEMBRANE_2),
            coat("coat_now", MEMBRANE_2, COATING_2, 0, 7900.0, 3.0),
            coat("coat_later", MEMBRANE_2, COATING_2, 60, 7900.0, 3.0),
            coat("coat_at_end", MEMBRANE_2, COATING_2, None, 7900.0, 3.0),
        ),
    )


def example_3() -> Case:
    return Case(
        TERMS,
        replace(LEAKS, silent_share=0.3),
        Existing(
            roof=MEMBRANE_3,
            age=60,
            seal_age=55,
            hidden_now=(HiddenLeak(3, joint=0.2, puncture=0.1), HiddenLeak(15, joint=0.1)),
            inspected_today=0.4,
            last_visits={"inspection": 2},
        ),
        (keep(MEMBRANE_3), coat("coat_later", MEMBRANE_3, COATING, 30, 7100.0, 4.0)),
    )


def example_1_with_loan() -> Case:
    """Example 1 with its coating paid for by the printed loan, at the printed inflation."""
    case = example_1()
    loan = Loan("coat_now", principal=6000.0, rate=0.0899, months=120)
    return replace(case, terms=replace(case.terms, inflation=0.025), loan=loan)


def example_4() -> Case:
    """Example 2 with warranties that may not be honoured, and with own work that stops after five years."""
    case = example_2()
    warranty = {"warranty_honoured": 0.6, "warranty_leaking_ends": 1.0}
    by_shop = (
        Visit("reseal", 36, cost=950.0, days=1.0, finds=0.5, restores=1.0),
        Visit("shop look", 12, cost=150.0, finds=0.4),
    )
    membrane = replace(MEMBRANE_2, plan_ends=60, visits_after=by_shop, **warranty)
    coating = replace(COATING_2, **warranty)
    return replace(
        case,
        existing=replace(case.existing, roof=membrane),
        alternatives=(
            keep(membrane),
            coat("coat_now", membrane, coating, 0, 7900.0, 3.0),
            coat("coat_later", membrane, coating, 96, 7900.0, 3.0),
            coat("coat_at_end", membrane, coating, None, 7900.0, 3.0),
        ),
    )


EXAMPLES = {1: example_1, 2: example_2, 3: example_3, 4: example_4}

YEARS = (1, 5, 8, 10, 15, 20)
NET_PRESENT_COST = {
    (1, "keep"): (1716.23, 7061.08, 11030.51, 13685.10, 20012.37, 25262.64),
    (1, "coat_now"): (6722.32, 7337.67, 7751.07, 8003.32, 10051.78, 11056.45),
    (1, "coat_later"): (1707.66, 6721.86, 9637.73, 13658.59, 14392.10, 15821.13),
    (1, "coat_at_end"): (1707.66, 6721.86, 10204.25, 12326.31, 16525.53, 18700.67),
    (2, "keep"): (2628.10, 9357.99, 13860.85, 16482.43, 22410.64, 27784.36),
    (2, "coat_now"): (7428.72, 8496.61, 9330.55, 11013.43, 12666.20, 15005.61),
    (2, "coat_later"): (2706.35, 9050.79, 12061.45, 12823.13, 14950.81, 16804.11),
    (2, "coat_at_end"): (2706.35, 9050.79, 12099.88, 13521.17, 15701.59, 17662.33),
    (3, "keep"): (2332.61, 7780.46, 11224.13, 13623.71, 18783.72, 23272.09),
    (3, "coat_later"): (2279.45, 8585.58, 9105.39, 9422.32, 11332.95, 12353.49),
    (4, "keep"): (2627.04, 9466.65, 14255.81, 17116.69, 23644.65, 29536.34),
    (4, "coat_now"): (7521.86, 8698.94, 9570.06, 11273.83, 12947.87, 15311.54),
    (4, "coat_later"): (2713.22, 9135.91, 12276.15, 13640.85, 15580.22, 17583.95),
    (4, "coat_at_end"): (2713.22, 9135.91, 12276.15, 13701.09, 15860.80, 17848.46),
}
"""Net-present cost, sold after `YEARS`. [money]"""

UNDISCOUNTED = {
    (1, "keep"): {
        "renewals": 1.1355,
        "severe finds": 0.0782,
        "leaks": 1.9760,
        "leak damage": 2849.91,
        "warranty": 0.0,
        "insurance": -26.86,
        "hours": 136.715,
        "days": 8.0892,
    },
    (1, "coat_now"): {
        "renewals": 0.3054,
        "severe finds": 0.0518,
        "leaks": 0.3200,
        "leak damage": 1139.96,
        "warranty": -245.87,
        "insurance": -3.74,
        "hours": 18.973,
        "days": 7.4224,
    },
    (2, "keep"): {
        "renewals": 2.3134,
        "severe finds": 1.2655,
        "leaks": 3.9085,
        "leak damage": 9288.80,
        "warranty": -260.39,
        "insurance": -29.36,
        "hours": 106.038,
        "days": 26.2521,
    },
    (2, "coat_now"): {
        "renewals": 0.5656,
        "severe finds": 0.2756,
        "leaks": 0.6807,
        "leak damage": 2158.71,
        "warranty": -959.75,
        "insurance": -7.30,
        "hours": 38.890,
        "days": 9.9831,
    },
    (4, "keep"): {"warranty": -293.34},
    (4, "coat_now"): {"warranty": -603.57},
}
"""Sold after 20 years, at no discount: counts, and money by category (days and hours are counts)."""

UNDISCOUNTED_TOLERANCE = {
    "renewals": 5e-5,
    "severe finds": 5e-5,
    "leaks": 5e-5,
    "leak damage": 5e-3,
    "warranty": 5e-3,
    "insurance": 5e-3,
    "hours": 5e-4,
    "days": 5e-5,
}
"""Half a unit of the last printed digit."""

FROM_UPKEEP = {
    1: {"joint": 0.021082, "puncture": 0.017933},
    2: {
        "effective_age": 8.712075,
        "joint": 0.054356,
        "age": 0.083552,
        "puncture": 0.047578,
        "end": 0.012250,
        "silent": 0.117384,
        "still silent": 0.080138,
    },
}
"""Hidden at the base date from the past upkeep; example 1's membrane at 36 months, seal age 10."""

SEAL_AGE_24 = {1: 1653.20, 20: 27609.39}
"""Example 2 with seal age 24: keeping, sold after 1 and 20 years. [money]"""

LOAN_FINANCING = 981.03
"""6000 at 8.99 % over 120 months, sold after 8 years, inflation 2.5 %. [money]"""
