"""The pocket page: one file for a telephone that asks the seven questions and works the answer out itself.

Lecture
-------
The page carries the compiled kernel in the form that browsers run, the even points, the figures and the words
(`stored`), so it evaluates the same futures as the whole tool and says the same. What stands between the
answers and the kernel, and between costs and the verdict, is written a second time, in the scripts of this
folder, each beside the module that it follows; the tests hold every word of the two together.

The scripts stand in one, in the order of `SCRIPTS`; its digest is in the content policy of the page, so
nothing else runs there, and no address is asked.

Left out: whatever the page says that it leaves out.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from pathlib import Path
from typing import Any

from markupsafe import Markup

from lifecycle.errors import fault
from lifecycle.evaluation.compiled.build import browser_kernel, source_digest
from lifecycle.language.sentences import say
from lifecycle.pages.pocket.stored import stored
from lifecycle.writers.html import filled

FOLDER = Path(__file__).parent
SCRIPTS = ("points", "scenario", "kernel", "verdict", "hangs", "words", "page")
STYLES = (FOLDER.parent / "look" / "tokens.css", FOLDER / "pocket.css")

_KERNEL = re.compile(r'<script type="text/plain" id="kernel">([A-Za-z0-9+/=]+)</script>')


def pocket_page(like: str = "") -> str:
    """Return the pocket page.

    Parameters
    ----------
    like : str
        An older pocket page: its kernel is taken again if it was made of the same source.

    Returns
    -------
    str
        HTML, complete in itself.

    Raises
    ------
    ScenarioError
        If there is no kernel for browsers, and none can be compiled here.
    """
    carried = stored()
    carried["made"]["kernel"] = source_digest()
    kernel = _kernel_of(like) or _compiled()
    script = "'use strict';\n" + "".join(_text(FOLDER / f"{name}.js") for name in SCRIPTS)
    style = "".join(map(_text, STYLES))
    said = dict(carried["words"]["page"])
    said["exact"] = say("pocket.exact", draws=carried["made"]["draws"])
    made = say("pocket.made", version=carried["made"]["version"], day=carried["made"]["day"])
    page = filled(
        FOLDER / "pocket.html",
        "page",
        said["title"],
        Markup(style),
        Markup(script),
        Markup(as_data(carried)),
        Markup(kernel),
        {"script": _digest(script), "style": _digest(style)},
        said,
        made,
    )
    return page.lstrip()


def as_data(carried: dict[str, Any]) -> str:
    """Return data as JSON that may stand within a script: no end of one is in it."""
    return json.dumps(carried, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")


def carried_by(page: str) -> dict[str, Any]:
    """Return what a pocket page carries, but for its kernel; empty if it is none."""
    found = re.search(r'<script type="application/json" id="stored">(.*?)</script>', page, re.DOTALL)
    carried: dict[str, Any] = json.loads(found[1]) if found else {}
    return carried


def _kernel_of(page: str) -> str:
    """Return the kernel of an older page, if it was made of the present source."""
    found = _KERNEL.search(page)
    fits = found and carried_by(page).get("made", {}).get("kernel") == source_digest()
    return found[1] if found and fits else ""


def _compiled() -> str:
    """Return the kernel for browsers, compiled now or before."""
    kernel = browser_kernel()
    if kernel is None:
        rule = "needs the kernel in the form that browsers run, and no compiler here can make it"
        raise fault("the pocket page", rule, "", "pip install ziglang, then ask again")
    return base64.b64encode(kernel).decode()


def _text(file: Path) -> str:
    """Return a file as text."""
    return file.read_text(encoding="utf-8")


def _digest(text: str) -> str:
    """Return a digest as a content policy names it."""
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
