"""Take the pictures of the README: each page and paper once, small in bytes.

Run after anything that changes how they look, for all pictures or those named::

    python tests/faces/gallery.py
    python tests/faces/gallery.py owner paper

`reports/pocket.html` is taken as `pocket` where it is there.
"""

from __future__ import annotations

import io
import sys
import tempfile
from datetime import date
from pathlib import Path
from typing import Any

from PIL import Image

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from lifecycle.cli import main
from lifecycle.interview.writing import scenario_text
from lifecycle.places import scenario_path
from tests.faces.browsing import Tab, chromium
from tests.faces.serving import serving

REPORTS = Path(__file__).resolve().parents[2] / "reports"
WIDE, COLOURS = 900, 64
"""Most width of a picture, and its colours. [dots, -]"""

ANSWERS: dict[str, Any] = {
    "otherwise": "shop_every_year",
    "climbs": False,
    "climbs_in_ten_years": False,
    "reseal_price": 1100.0,
    "hour_value": 20.0,
    "keep": {"low": 4.0, "likely": 10.0, "high": 15.0},
    "quote": 8130.0,
    "quoted_length": 26.0,
    "quoted_by": "overall",
    "warranty_years": 10,
    "warranty_in_writing": True,
    "decided": False,
    "roof_age": 14,
    "covering": "membrane",
    "seal_age": 14,
    "length": 26.0,
    "place": "Houston",
    "sheltered_share": 0,
    "trouble": [],
}
"""What an invented owner says."""

SIZE = {
    "owner": (1240, 960),
    "counter": (1024, 820),
    "doubt": (1240, 1240),
    "paper": (900, 1160),
    "pocket": (420, 840),
}
"""Of the window that is taken. [CSS pixel]"""

READY = {"owner": ".lc-table table", "counter": ".lc-word", "doubt": ".lc-study img"}
"""What is there once a page is there."""


def kept(name: str, picture: bytes) -> None:
    """Keep a picture with few dots and few colours."""
    with Image.open(io.BytesIO(picture)) as image:
        whole = image.convert("RGB")
    share = min(1.0, WIDE / whole.width)
    small = whole.resize((round(whole.width * share), round(whole.height * share)), Image.Resampling.LANCZOS)
    place = REPORTS / "gallery" / f"{name}.png"
    place.parent.mkdir(exist_ok=True)
    small.quantize(COLOURS, dither=Image.Dither.NONE).save(place, optimize=True)
    print(f"{place.name}: {place.stat().st_size / 1000.0:.0f} kB")


def page(browser: Any, name: str, scenario: Path) -> None:
    """Take a page, opened with an invented scenario."""
    with serving(name, scenario) as served:
        tab = Tab(browser, served.url, SIZE[name], there=READY[name])
        tab.page.wait_for_timeout(3000)
        if name == "counter":
            tab.page.get_by_role("button", name="The answer").click()
            tab.page.wait_for_timeout(3000)
        if name == "doubt":
            tab.page.locator(".lc-study h2").first.evaluate("one => one.scrollIntoView()")
        kept(name, tab.page.screenshot())
        tab.close()


def file(browser: Any, name: str, place: Path) -> None:
    """Take the first screen of a page that needs no program."""
    tab = browser.new_page(viewport=dict(zip(("width", "height"), SIZE[name], strict=True)))
    tab.goto(place.as_uri())
    kept(name, tab.screenshot())
    tab.close()


def taken(browser: Any, name: str, folder: Path) -> None:
    """Take one picture."""
    if name in ("owner", "counter"):
        own = folder / "answered.toml"
        own.write_text(scenario_text(ANSWERS, base_date=date.today()), encoding="utf-8")
        page(browser, name, own)
    elif name in READY:
        page(browser, name, scenario_path("humid-coast-motorhome"))
    elif name == "paper":
        main(["report", str(scenario_path("humid-coast-motorhome")), "--to", str(folder / "made")])
        file(browser, name, folder / "made" / "us.html")
    elif (place := REPORTS / f"{name}.html").exists():
        file(browser, name, place)


if __name__ == "__main__":
    with chromium() as one, tempfile.TemporaryDirectory() as made:
        for picture_name in sys.argv[1:] or SIZE:
            taken(one, picture_name, Path(made))
