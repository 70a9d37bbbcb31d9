"""Take the pictures of the README: each page and paper once, small in bytes.

Run after anything that changes how they look, for all pictures or those named::

    python tests/faces/gallery.py
    python tests/faces/gallery.py owner card
"""

from __future__ import annotations

import io
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from PIL import Image

from lifecycle.cli import main
from lifecycle.places import scenario_path
from tests.faces.browsing import Tab, chromium
from tests.faces.serving import serving

TO = Path(__file__).resolve().parents[2] / "reports" / "gallery"
WIDE, COLOURS = 760, 48
"""Width of a picture, and its colours. [dots, -]"""

SIZE = {
    "owner": (1400, 1050),
    "counter": (1024, 1100),
    "doubt": (1400, 1050),
    "paper": (900, 1160),
    "card": (480, 620),
}
"""Of the window that is taken. [CSS pixel]"""

READY = {"owner": ".lc-table table", "counter": ".lc-word", "doubt": ".lc-study img"}
"""What is there once a page is there."""


def kept(name: str, picture: bytes) -> None:
    """Keep a picture with fewer dots and few colours."""
    with Image.open(io.BytesIO(picture)) as image:
        whole = image.convert("RGB")
    small = whole.resize((WIDE, round(whole.height * WIDE / whole.width)), Image.Resampling.LANCZOS)
    TO.mkdir(exist_ok=True)
    place = TO / f"{name}.png"
    small.quantize(COLOURS, dither=Image.Dither.NONE).save(place, optimize=True)
    print(f"{place.name}: {place.stat().st_size / 1000.0:.0f} kB")


def page(browser: Any, name: str) -> None:
    """Take a page, opened with an invented scenario."""
    scenario = scenario_path("humid-coast-motorhome" if name != "counter" else "two-quotes")
    with serving(name, scenario) as served:
        tab = Tab(browser, served.url, SIZE[name], there=READY[name])
        tab.page.wait_for_timeout(1500)
        kept(name, tab.page.screenshot())
        tab.close()


def paper(browser: Any, name: str) -> None:
    """Take the first screen of a paper or of the page for people who run nothing."""
    with tempfile.TemporaryDirectory() as folder:
        if name == "paper":
            main(["report", str(scenario_path("humid-coast-motorhome")), "--to", f"{folder}/made"])
            made = Path(folder, "made", "us.html")
        else:
            made = Path(folder, "card.html")
            main(["card", "--to", str(made)])
        tab = browser.new_page(viewport=dict(zip(("width", "height"), SIZE[name], strict=True)))
        tab.goto(made.as_uri())
        kept(name, tab.screenshot())
        tab.close()


TAKEN: dict[str, Callable[[Any, str], None]] = {
    **dict.fromkeys(READY, page),
    **dict.fromkeys(("paper", "card"), paper),
}
"""What takes each picture."""

if __name__ == "__main__":
    with chromium() as one:
        for picture_name, take in TAKEN.items():
            if not sys.argv[1:] or picture_name in sys.argv[1:]:
                take(one, picture_name)
