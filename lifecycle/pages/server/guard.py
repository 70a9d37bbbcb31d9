"""Where a page may be reached, and who may come in: one place before every handler of a server.

Lecture
-------
A page listens at one address and at no other. Without being asked it is the loopback address: only
programs on this computer reach it. An address of a private network (RFC 1918 and RFC 4193) may be
asked for; every other one is refused, "all addresses" too, for it would open the page to networks
that nobody thought of. The *hosts* of a page are what a browser may call it by: the address with the port,
and "localhost" where that is the same.

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

Left out: names of computers, for a name can be made to point elsewhere; encryption; how many wrong tokens
were tried, for a token has 256 random bits. Whoever has the token may hold as many connections as the system
gives.
"""

from __future__ import annotations

import errno
import hmac
import ipaddress
import re
import socket
import time
from collections.abc import Collection
from dataclasses import dataclass, field
from ipaddress import IPv4Address, IPv6Address
from typing import Any
from urllib.parse import unquote
from weakref import WeakSet

from tornado.httpserver import HTTPServer
from tornado.httputil import HTTPServerRequest
from tornado.iostream import IOStream
from tornado.routing import Matcher, Rule
from tornado.web import Application, RequestHandler, decode_signed_value

from lifecycle.errors import ScenarioError, fault
from lifecycle.language.sentences import say

LOOPBACK = "127.0.0.1"
"""The address that only this computer reaches."""

PRIVATE = tuple(
    ipaddress.ip_network(network)
    for network in ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "fc00::/7", "::1/128")
)
"""Networks of one's own, and this computer."""

MOST_PORT = 65_535
"""Highest port there is."""

WAITING = 128
"""Requests that may wait to be taken."""

PLAIN_PORT = 80
"""Port that a browser leaves out of a name."""

FREE = "leave it out: a free one is taken"
"""What to do about a port."""


def checked(address: str) -> str:
    """Return an address that a page may be reached at, in its usual spelling.

    Examples
    --------
    >>> checked("192.168.1.20")
    '192.168.1.20'
    """
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        rule = "must be an address in figures"
        remedy = "for instance 192.168.1.20: the network settings of this computer show it"
        raise fault("--on", rule, address, remedy) from None
    if not any(found in network for network in PRIVATE):
        rule = "must be an address of your own network, or of this computer"
        reason = "would open the page to every network" if found.is_unspecified else "is none"
        remedy = "such an address begins with 192.168., 10., 172.16. to 172.31., fc or fd"
        raise fault("--on", rule, f"{address}, which {reason}", remedy)
    return str(found)


def is_loopback(address: str) -> bool:
    """Say whether only this computer reaches an address."""
    return ipaddress.ip_address(address).is_loopback


def listening(address: str, port: int) -> socket.socket:
    """Return a socket that listens there."""
    if not 0 <= port <= MOST_PORT:
        rule = f"must be a whole number from 0 to {MOST_PORT:,}"
        raise fault("--port", rule, str(port), FREE)
    found = ipaddress.ip_address(address)
    family = socket.AF_INET if found.version == 4 else socket.AF_INET6
    try:
        place = socket.create_server((address, port), family=family, backlog=WAITING)
    except OSError as error:
        raise _why_not(error, address, port) from None
    place.setblocking(False)
    return place


def _why_not(error: OSError, address: str, port: int) -> ScenarioError:
    """Return the error where nothing can listen."""
    if error.errno == errno.EADDRNOTAVAIL:
        remedy = "the network settings of this computer show its address"
        return fault("--on", "must be an address of this computer", address, remedy)
    if error.errno == errno.EADDRINUSE:
        return fault("--port", "must be free", str(port), FREE)
    reason = (error.strerror or str(error)).lower()
    return fault("--port", f"cannot be used: {reason}", str(port), FREE)


def hosts(address: str, port: int) -> frozenset[str]:
    """Return what a browser may call a page by.

    Examples
    --------
    >>> sorted(hosts("127.0.0.1", 8000))
    ['127.0.0.1:8000', 'localhost:8000']
    >>> sorted(hosts("10.0.0.7", 8000))
    ['10.0.0.7:8000']
    """
    names = {_in_link(address)}
    if address in (LOOPBACK, str(IPv6Address(1))):
        names.add("localhost")
    whole = {f"{name}:{port}" for name in names}
    return frozenset(whole | names if port == PLAIN_PORT else whole)


def link(address: str, port: int, path: str) -> str:
    """Return the address of a page as a browser wants it.

    Examples
    --------
    >>> link("::1", 8000, "/")
    'http://[::1]:8000/'
    """
    return f"http://{_in_link(address)}:{port}{path}"


def _in_link(address: str) -> str:
    """Return an address as it stands in a link."""
    return address if isinstance(ipaddress.ip_address(address), IPv4Address) else f"[{address}]"


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
