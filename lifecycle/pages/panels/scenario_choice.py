"""Which scenario a page is about: one that is shipped, or a file from the computer of whoever uses it.

Lecture
-------
A file goes to the program behind the page and nowhere else. What is wrong with it is said in the status
line; the scenario before stays.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets

from lifecycle import files
from lifecycle.errors import Fault, ScenarioError
from lifecycle.language.sentences import say as sentence
from lifecycle.pages.panels.guard import Say, guarded
from lifecycle.places import scenario_path, shipped_names
from lifecycle.scenario import Scenario

OWN = ""
"""Stands in the list for a file."""


class ScenarioChoice:
    """A list of scenarios and a button for a file.

    Parameters
    ----------
    took : callable
        Takes a scenario.
    say : callable
        Shows a sentence in the status line.
    """

    def __init__(self, took: Callable[[Scenario], object], say: Say) -> None:
        self._took, self._say, self._quiet = took, say, False
        names = [(name.replace("-", " "), name) for name in shipped_names()]
        self.shipped = ipywidgets.Dropdown(
            description="An invented coach",
            options=[("choose ...", OWN), *names],
            tooltip="An invented coach",
        )
        self.file = upload(sentence("pages.load.scenario"), ".toml")
        self.shipped.observe(guarded(self._shipped, say), names="value")
        self.file.observe(guarded(self._loaded, say), names="value")
        self.box = ipywidgets.Box([self.shipped, self.file])
        self.box.add_class("lc-bar")

    def show(self, name: str) -> None:
        """Show a name in the list without taking it; one that is not there stands for a file."""
        self._quiet = True
        self.shipped.value = name if name in shipped_names() else OWN
        self._quiet = False

    def _shipped(self, change: Any) -> None:
        """Take a shipped scenario."""
        if not self._quiet and change["new"] != OWN:
            self._took(files.load(scenario_path(change["new"])))
            self._say("")

    def _loaded(self, change: Any) -> None:
        """Take a file, and make room for the next."""
        if self._quiet or not change["new"]:
            return
        name, content = received(change["new"])
        self._quiet = True
        self.file.value = ()
        self._quiet = False
        self._took(files.loads(as_text(content, name), name))
        self.show(OWN)
        self._say(f"Loaded: {name}.")


def upload(name: str, kind: str) -> Any:
    """Return a button for a file; its name says what it loads."""
    return ipywidgets.FileUpload(accept=kind, description=name, multiple=False, tooltip=name)


def received(files_given: Any) -> tuple[str, bytes]:
    """Return name and content of the file that was handed over."""
    return str(files_given[0]["name"]), bytes(files_given[0]["content"])


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
        raise ScenarioError([Fault(name, "must be text in UTF-8", remedy="save it as UTF-8")]) from None
