"""Money and time: discounting, escalation, measures of worth, loans.

Lecture
-------
A price stands at the base date and is *real*: money of constant worth. With

- ``d``  real discount rate [1/year], ``g`` real escalation of a price [1/year],
- ``e``  inflation [1/year], ``D`` nominal discount rate [1/year],
- ``t``  months from the base date [months], ``N`` years held [years],

an amount at month ``t`` is worth today ::

    present value = amount * ((1 + g) / (1 + d)) ** (t / 12)

and the nominal rate follows exactly, never by adding: ``1 + D = (1 + d) (1 + e)``. An equal yearly
amount of 1 for ``N`` years, the first at the end of year 1, with ``v = (1 + g) / (1 + d)``, is worth
``v + v^2 + ... + v^N = v (1 - v^N) / (1 - v)``, and ``N`` where ``v = 1``. Its inverse turns a
present cost into an *annual value*.

Measures compare an alternative with the base case, in the terms of the ASTM practices on building
economics. *Net savings* are the base case's present cost less the alternative's. With ``I`` the
further investment, the *savings-to-investment ratio* is ``SIR = (net savings + I) / I`` and the
*adjusted internal rate of return* is ``AIRR = (1 + d) SIR ** (1 / N) - 1``. *Payback* is the first
year in which net savings are no longer negative: *discounted* payback if they are discounted,
*simple* payback if ``d = 0``. It may be lost again later; the *break-even year* is the first from
which net savings stay.

A measure that does not exist is an `Answer` with a reason, never a missing number.

A loan is paid in ``M`` equal monthly payments at a twelfth of its yearly rate. Its *financing cost*
is what the payments, and at a sale the balance, are worth today at the nominal rate, less the
principal.

Costs are positive, receipts negative. Leading axes are draws; the last axis is time. A scalar gives
a scalar.

Left out: taxes, and interest that a tax return gives back.

Source
------
ASTM E833 (terms), E917, E964, E1057 and E1121, by their scope clauses; 10 CFR 436.21 for the ratio.
"""

from lifecycle.economics.discounting import (
    annual_value,
    discount_factor,
    nominal_rate,
    present_value,
    uniform_present_worth_factor,
)
from lifecycle.economics.loans import (
    LoanSchedule,
    financing_cost,
    loan_balance,
    loan_payment,
    loan_schedule,
)
from lifecycle.economics.measures import (
    Answer,
    adjusted_internal_rate_of_return,
    break_even_year,
    crossings,
    payback,
    savings_to_investment,
)

__all__ = [
    "Answer",
    "LoanSchedule",
    "adjusted_internal_rate_of_return",
    "annual_value",
    "break_even_year",
    "crossings",
    "discount_factor",
    "financing_cost",
    "loan_balance",
    "loan_payment",
    "loan_schedule",
    "nominal_rate",
    "payback",
    "present_value",
    "savings_to_investment",
    "uniform_present_worth_factor",
]
