"""Charts: `chart(data, ax=None) -> Axes`, each with a sentence that says what it shows.

Lecture
-------
Every chart is a function of a result and, if wanted, of the axes to draw on; without axes it makes a
picture of its own, of fixed width, whose text alternative is the sentence of the function
`describe_...` beside it. Nothing here shows a window, changes a style, or opens a file:
`picture_bytes` gives the content of a file.
"""

from lifecycle.faces.charts.canvas import Picture, picture_bytes
from lifecycle.faces.charts.costs import cost_by_category, describe_cost_by_category
from lifecycle.faces.charts.first_look import describe_first_look, first_look
from lifecycle.faces.charts.owning import cost_of_owning, describe_cost_of_owning
from lifecycle.faces.charts.spending import describe_yearly_spending, yearly_spending
from lifecycle.faces.charts.swings import describe_swings, swings

__all__ = [
    "Picture",
    "cost_by_category",
    "cost_of_owning",
    "describe_cost_by_category",
    "describe_cost_of_owning",
    "describe_first_look",
    "describe_swings",
    "describe_yearly_spending",
    "first_look",
    "picture_bytes",
    "swings",
    "yearly_spending",
]
