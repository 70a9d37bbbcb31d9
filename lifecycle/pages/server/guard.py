"""Who may come in: one place before every handler of a server.

Lecture
-------
A page on one's own computer is reached by every program there, and by every page that a browser on
it shows. So each request is looked at before it is routed anywhere, be it for the page, its kernel
channel, an answer of the server or a script:

1. *Host*: what the browser called this server must be one of its own names. Else another site has
   made its name point here (DNS rebinding).
2. *Origin*: the page that asks, where the browser names it, must be our own. Else another site that
   the browser shows asks, be it with the token.
3. *Token*: everything but the server library's own scripts and styles wants the token, or the signed
   cookie that whoever came with the token was given.

Who fails gets 403 and one plain sentence. The check is a routing rule that stands before all others,
so a handler that is added later is behind it too.

*Doors* are what listens. Whoever connects and does not ask, or asks half a question, or sends the rest of
it a letter a minute, holds a socket of ours; enough of them, and nobody comes in. So a question must be there
within `ASKING`, a connection that asks nothing more is closed after the same time, and of those that were
never let in only the `MOST_OUTSIDE` that came last are kept.

Left out: how many wrong tokens were tried; a token has 256 random bits. Whoever has the token may hold as
many connections as the system gives.
"""

from __future__ import annotations

import hmac
import re
import time
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import unquote
from weakref import WeakSet

from tornado.httpserver import HTTPServer
from tornado.httputil import HTTPServerRequest
from tornado.iostream import IOStream
from tornado.routing import Matcher, Rule
from tornado.web import Application, RequestHandler, decode_signed_value

from lifecycle.language.sentences import say

OPEN = ("/voila/static/", "/voila/templates/", "/voila/labextensions/", "/voila/api/themes/")
"""Where the server library keeps its own scripts and styles: they want no token."""

SAFE_METHODS = ("GET", "HEAD", "OPTIONS")
"""Methods that change nothing."""

ASKING = 20.0
"""How long a whole question may take, and how long a connection may ask nothing. [s]"""

MOST_OUTSIDE = 128
"""Connections that may wait without having been let in."""

LARGEST_BODY = 1_000_000
"""Size of the largest request. [bytes]"""


@dataclass(frozen=True)
class Keys:
    """What lets somebody in.

    Parameters
    ----------
    token : str
        Part of the printed address.
    cookie : str
        Name of the cookie that is given to whoever came with the token.
    secret : bytes
        With which the cookie is signed.
    """

    token: str
    cookie: str
    secret: bytes

    def fit(self, request: HTTPServerRequest) -> bool:
        """Say whether a request brings the token, or the cookie that stands for it."""
        return self.brought(request) or self._signed(request)

    def brought(self, request: HTTPServerRequest) -> bool:
        """Say whether a request brings the token itself."""
        given = list(request.query_arguments.get("token", []))
        header = re.fullmatch(r"\s*(?:token|bearer)\s+(\S+)\s*", _header(request, "Authorization"), re.I)
        given += [header[1].encode("utf-8", "replace")] if header else []
        return any(hmac.compare_digest(one, self.token.encode()) for one in given)

    def _signed(self, request: HTTPServerRequest) -> bool:
        """Say whether a request brings the signed cookie."""
        cookie = request.cookies.get(self.cookie)
        return bool(cookie and decode_signed_value(self.secret, self.cookie, cookie.value))


@dataclass
class Guard:
    """Looks at each request, and knows when somebody was last let in.

    Parameters
    ----------
    hosts : collection of str
        Own names, each with the port.
    keys : Keys or None
        None: the handlers look at the token themselves.
    last : float
        When somebody was last let in, on the clock `time.monotonic`. [s]
    inside : set of IOStream
        Connections on which somebody was let in, as long as they are open.
    """

    hosts: Collection[str]
    keys: Keys | None = None
    last: float = field(default_factory=time.monotonic)
    inside: WeakSet[IOStream] = field(default_factory=WeakSet)

    def refusal(self, request: HTTPServerRequest) -> str | None:
        """Return why a request is refused, by the name of the sentence that says it, or None."""
        hosts = [host.lower() for host in request.headers.get_list("Host")]
        if len(hosts) != 1 or hosts[0] not in self.hosts:
            return "other_name"
        request.headers["Host"] = request.host = hosts[0]  # for whoever compares it after us
        origins = [*request.headers.get_list("Origin"), *request.headers.get_list("Sec-WebSocket-Origin")]
        if any(origin.lower() != f"http://{hosts[0]}" for origin in origins):
            return "other_page"
        path = unquote(request.path or "")
        if ".." in path:
            return "nowhere"
        if self.keys is not None:
            free = request.method in SAFE_METHODS and path.startswith(OPEN)
            if not free and not self.keys.fit(request):
                return "no_token"
            if request.method not in SAFE_METHODS and not origins and not self.keys.brought(request):
                return "other_page"
            if free:
                return None
        self.last = time.monotonic()
        if (stream := getattr(request.connection, "stream", None)) is not None:
            self.inside.add(stream)
        return None

    def stand_before(self, application: Application) -> None:
        """Stand before every handler that an application has or will have."""
        application.default_router.rules.insert(0, Rule(_Refused(self), _Refusal, {"guard": self}))


class Doors(HTTPServer):
    """Listens for an application behind a guard, and keeps nobody who does not ask."""

    def initialize(self, application: Application, guard: Guard) -> None:  # type: ignore[override]
        """Take what answers, and the guard that knows who is inside."""
        super().initialize(
            application,
            idle_connection_timeout=ASKING,
            body_timeout=ASKING,
            max_body_size=LARGEST_BODY,
        )
        self._guard = guard
        self._outside: list[IOStream] = []

    def handle_stream(self, stream: IOStream, address: Any) -> None:
        """Serve a connection; close the one that has waited outside the longest if there are too many."""
        waiting = [one for one in self._outside if not one.closed() and one not in self._guard.inside]
        for one in waiting[: max(0, len(waiting) + 1 - MOST_OUTSIDE)]:
            one.close()
        self._outside = [*waiting[-MOST_OUTSIDE + 1 :], stream]
        super().handle_stream(stream, address)


class _Refused(Matcher):
    """Matches the requests that a guard refuses."""

    def __init__(self, guard: Guard) -> None:
        self._guard = guard

    def match(self, request: HTTPServerRequest) -> dict[str, Any] | None:
        """Return an empty match for a request that is refused, else None."""
        return None if self._guard.refusal(request) is None else {}


class _Refusal(RequestHandler):
    """Answers 403 and one sentence, whatever was asked."""

    def initialize(self, guard: Guard) -> None:
        """Take the guard that knows why."""
        self._guard = guard

    def set_default_headers(self) -> None:
        """Say nothing about the server."""
        self.clear_header("Server")
        self.set_header("Content-Type", "text/plain; charset=utf-8")
        self.set_header("Cache-Control", "no-store")

    def prepare(self) -> None:
        """Refuse, before any method runs."""
        self.set_status(403)
        why = self._guard.refusal(self.request) or "other_page"
        self.finish(f"{say(f'pages.server.refused.{why}')}\n")


def _header(request: HTTPServerRequest, name: str) -> str:
    """Return a header of a request, or ""."""
    return str(request.headers.get(name, ""))
