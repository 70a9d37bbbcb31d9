"""What is sent again once a browser has drawn a page: all that shows, and nothing that asks."""

from __future__ import annotations

import ipywidgets
import pytest

from lifecycle.pages.panels.pieces import ARRIVED, Page, showing


def test_what_shows_is_sent_again_and_what_asks_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    sent: list[str] = []
    word, field, choice = ipywidgets.HTML("old"), ipywidgets.Text("half"), ipywidgets.Dropdown(options=["a"])
    inner = ipywidgets.Box([word, field])
    page = Page("lc-page", "no kernel")
    page._lay_out(inner, choice)
    button = page.box.children[-1]
    monkeypatch.setattr(ipywidgets.Widget, "send_state", lambda self, key=None: sent.append(self.model_id))

    assert ARRIVED in button._dom_classes and button.layout.display == "none"
    button.click()

    shown = [word, inner, page.box]
    assert list(showing(page.box)) == shown
    assert sorted(sent) == sorted([one.model_id for one in shown] + [one.layout.model_id for one in shown])
