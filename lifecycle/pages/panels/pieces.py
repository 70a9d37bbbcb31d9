"""What every page is made of: markup, boxes, controls and pictures, and callbacks that never fail in silence.

Lecture
-------
Markup stands in ``pages/look/parts.html``, each piece with a name; what a user typed is shown as text, never
as markup. The style sheets beside it are written down in DEVELOPERS.md. A file to keep is a link that carries
the file itself: nothing is written anywhere until the link is followed. A file that is loaded goes to the
program behind the page, and nowhere else.

Boxes are marked, never what they hold: a change of any trait of an HTML or text widget writes its whole
content anew, pictures and half-typed text included.

Every callback goes through `guarded`. An error in one would show nothing on a page; so a user's mistake is
said as it stands, anything else in one plain sentence, and the last good answer stays where it is.

A page redraws a chart at each move. A new figure each time is slow and flickers, so a `KeptPicture` keeps its
figure and its axes at fixed margins: the image changes, its size does not. The sentence of the chart is the
text alternative of the image; the library's own image widget has none, so it is plain HTML, decoded at once
and of known size. What is drawn are lines (SVG): sharp at every zoom, and dark in the dark.

A browser draws a page in two steps: it asks the kernel for all that stands there, and then makes it. What
comes between the two reaches nothing, and would be lost for good. So every `Page` holds a button that nobody
sees; the page's script presses it as soon as the page is drawn (``server/template/arriving.js``), and all
that only shows is sent again. Fields are left alone: what somebody began to type stays.

Left out: which charts there are (`charts`), and what is worked out (`worker`).
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

import ipywidgets

from lifecycle.errors import ScenarioError, fault
from lifecycle.language.sentences import say
from lifecycle.writers.html import filled

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from lifecycle.language.verdict import Line

LOOK = Path(__file__).parents[1] / "look"
"""Where the style sheets and the markup stand."""

ARRIVED = "lc-arrived"
"""Class of the button that nobody sees; the page's script looks for it."""

Tell = Callable[[str], object]
"""Shows a sentence in the status line of a page."""

Place = tuple[float, float, float, float]
"""Left, bottom, width and height of axes. [inch]"""


# ---- markup ---------------------------------------------------------------------------------------


@cache
def style_sheet(*besides: str) -> str:
    """Return the style of a page as HTML: what all pages share, and sheets besides."""
    sheets = ((LOOK / f"{name}.css").read_text(encoding="utf-8") for name in ("tokens", "page", *besides))
    return filled(LOOK / "parts.html", "style", "".join(sheets))


def part(name: str, *slots: Any, **named: Any) -> str:
    """Return a piece of markup by its name, filled.

    Examples
    --------
    >>> part("note", "a < b")
    '<span class="lc-note">a &lt; b</span>'
    """
    return filled(LOOK / "parts.html", name, *slots, **named).strip()


def paragraphs(sentences: Iterable[str], *, kind: str = "") -> str:
    """Return sentences as paragraphs.

    Examples
    --------
    >>> paragraphs(["a < b"])
    '<p>a &lt; b</p>'
    """
    return part("paragraphs", sentences, kind)


def lines(told: Iterable[Line]) -> str:
    """Return lines of an answer as paragraphs; those that are items as a list.

    Examples
    --------
    >>> lines([("a", False), ("b", True), ("c", True)])
    '<p>a</p><ul><li>b</li><li>c</li></ul>'
    """
    groups = [(item, [text for text, _ in some]) for item, some in groupby(told, key=lambda line: line[1])]
    return "".join(items(texts) if item else paragraphs(texts) for item, texts in groups)


def items(sentences: Iterable[str]) -> str:
    """Return sentences as a list."""
    return part("items", sentences)


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a table whose first column names the rows."""
    return part("table", head, rows)


def file_link(name: str, content: bytes, kind: str, said: str) -> str:
    """Return a link that carries a file.

    Examples
    --------
    >>> file_link("a.txt", b"a", "text/plain", "Keep it")
    '<a class="lc-link" download="a.txt" href="data:text/plain;base64,YQ==">Keep it</a>'
    """
    return part("file_link", name, carried(content, kind), said)


def carried(content: bytes, kind: str) -> str:
    """Return an address that carries a file itself."""
    return f"data:{kind};base64,{base64.b64encode(content).decode('ascii')}"


# ---- callbacks ------------------------------------------------------------------------------------


def guarded(work: Callable[..., object], tell: Tell) -> Callable[..., None]:
    """Return a callback that never raises.

    Examples
    --------
    >>> guarded(lambda change: 1 / 0, print)("a change")
    Something went wrong in this program, not in what you entered (ZeroDivisionError). Try another value, \
or undo the last change.
    """

    def safely(*arguments: Any, **named: Any) -> None:
        try:
            work(*arguments, **named)
        except Exception as error:
            tell(sentence_of(error))

    return safely


def sentence_of(error: BaseException, *, answered: bool = False) -> str:
    """Return what to say of an error; `answered`: an answer from before it stands on the page."""
    said = say("pages.broken", kind=type(error).__name__)
    if isinstance(error, ScenarioError):
        said = say("pages.mistake", error=error)
    return say("pages.still_stands", said=said) if answered else said


# ---- boxes and controls ---------------------------------------------------------------------------


def beside(kind: str, *widgets: Any) -> Any:
    """Return widgets beside each other in a box that is marked."""
    return _marked(ipywidgets.Box(widgets), kind)


def below(kind: str, *widgets: Any) -> Any:
    """Return widgets below each other in a box that is marked."""
    return _marked(ipywidgets.VBox(widgets), kind)


def _marked(widget: Any, kind: str) -> Any:
    """Return a widget with marks."""
    for one in kind.split():
        widget.add_class(one)
    return widget


def mark(widget: Any, kind: str, wanted: bool) -> None:
    """Mark a box, or take the mark away."""
    (widget.add_class if wanted else widget.remove_class)(kind)


def put_away(widget: Any, away: bool = True) -> None:
    """Take a widget off the page, or bring it back."""
    widget.layout.display = "none" if away else ""


def html(content: str = "", kind: str = "", **traits: Any) -> Any:
    """Return a widget for markup."""
    return _marked(ipywidgets.HTML(content, **traits), kind)


def said(*sentences: str, kind: str = "") -> Any:
    """Return sentences as a widget."""
    return html(paragraphs(sentences, kind=kind))


def title(text: str, level: int = 2, kind: str = "") -> Any:
    """Return a heading as a widget."""
    return html(part("title", text, level, kind))


def button(name: str, work: Callable[[], object], tell: Tell, **traits: Any) -> Any:
    """Return a button that does something."""
    one = ipywidgets.Button(**{"description": name, "tooltip": name} | traits)
    one.on_click(guarded(lambda _: work(), tell))
    return one


def dropdown(name: str, options: Iterable[Any], **traits: Any) -> Any:
    """Return a list to choose from."""
    return ipywidgets.Dropdown(description=name, tooltip=name, options=list(options), **traits)


def watched(control: Any, work: Callable[[Any], object], tell: Tell) -> Any:
    """Return a control of which every new value is taken."""
    control.observe(guarded(lambda change: work(change["new"]), tell), names="value")
    return control


def upload(name: str, kind: str, took: Callable[[str, bytes], object], tell: Tell) -> Any:
    """Return a button for a file, which hands over its name and content and makes room for the next."""
    one = ipywidgets.FileUpload(accept=kind, description=name, multiple=False, tooltip=name)

    def loaded(files_given: Any) -> None:
        if files_given:
            name, content = str(files_given[0]["name"]), bytes(files_given[0]["content"])
            one.value = ()
            took(name, content)

    return watched(one, loaded, tell)


def as_text(content: bytes, name: str) -> str:
    """Return the content of a file as text.

    Examples
    --------
    >>> as_text(b"a = 1", "one.toml")
    'a = 1'
    """
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise fault(name, "must be text in UTF-8", "", "save it as UTF-8") from None


# ---- pages ----------------------------------------------------------------------------------------


class Page:
    """A page that shows itself in a notebook, with a status line; where none runs stands a sentence."""

    def __init__(self, kind: str, not_running: str) -> None:
        self.box, self._not_running = below(kind), not_running
        self.status = html(kind="lc-status")
        self.tell("")

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        """Show the page in a notebook; where none runs, a sentence."""
        return shown_in_notebook(self.box, self._not_running, **options)

    def tell(self, text: str) -> None:
        """Show a sentence in the status line."""
        self.status.value = part("status", [text])

    def _lay_out(self, *widgets: Any) -> None:
        """Put widgets on the page, and the button that its script presses when it is drawn."""
        arrived = button("", lambda: send_again(self.box), self.tell, layout={"display": "none"})
        self.box.children = [*widgets, _marked(arrived, ARRIVED)]


def shown_in_notebook(box: Any, not_running: str, **options: Any) -> dict[str, Any]:
    """Return a widget as a notebook shows it; where none runs, a sentence."""
    shown = box._repr_mimebundle_(**options)
    data: dict[str, Any] = shown[0] if isinstance(shown, tuple) else shown
    return {**data, "text/plain": not_running}


def send_again(page: Any) -> None:
    """Send the state of all that only shows."""
    for widget in showing(page):
        widget.layout.send_state()
        widget.send_state()


def showing(widget: Any) -> Iterator[Any]:
    """Return a widget and all within it that shows and does not ask: boxes, and texts."""
    if isinstance(widget, ipywidgets.Box):
        for child in widget.children:
            yield from showing(child)
    if isinstance(widget, ipywidgets.Box | ipywidgets.HTML):
        yield widget


# ---- pictures -------------------------------------------------------------------------------------


class KeptPicture:
    """An image of some height [inch], drawn on one figure again and again, at one place of it.

    Whoever works things out draws it; only `show` touches the widget.
    """

    def __init__(self, height: float, place: Place) -> None:
        self._height, self._place = height, place
        self._axes: Axes | None = None
        self.image = picture_widget()

    def drawn(self, draw: Callable[[Axes], object]) -> tuple[bytes, str]:
        """Draw on the kept figure, and return its picture with its sentence."""
        from lifecycle.charts import Picture

        if self._axes is None:
            self._picture = Picture(self._height)
            self._axes = self._picture.axes_at(*self._place)
        self._axes.clear()
        self._axes.set_axis_on()
        self._picture.text_alternative = ""
        draw(self._axes)
        return picture_of(self._picture)

    def show(self, content: bytes, sentence: str) -> None:
        """Show what was drawn."""
        put(self.image, content, sentence)


def picture_widget() -> Any:
    """Return a widget for a picture, without one."""
    return html(kind="lc-picture")


def put(widget: Any, content: bytes, sentence: str) -> None:
    """Put a picture and its sentence into a widget."""
    size = re.search(rb'width="(\d+)[^"]*" height="(\d+)', content[:400])
    wide, high = (int(one) for one in size.groups()) if size else (0, 0)
    widget.value = part("picture", carried(content, "image/svg+xml"), sentence, wide, high)


def shown_chart(chart: Axes | Figure) -> Any:
    """Return a chart as a picture with its sentence."""
    image = picture_widget()
    put(image, *picture_of(chart))
    return image


def picture_of(chart: Axes | Figure) -> tuple[bytes, str]:
    """Return a chart as a picture, and its sentence."""
    from matplotlib.figure import Figure

    from lifecycle.charts import page_picture

    figure = chart if isinstance(chart, Figure) else chart.get_figure(root=True)
    if figure is None:
        raise ValueError("the chart stands on no figure")
    return page_picture(figure), str(getattr(figure, "text_alternative", ""))
