"""Where a page may be reached: on this computer, or at one address of one's own network.

Lecture
-------
A page listens at one address and at no other. Without being asked it is the loopback address: only
programs on this computer reach it. An address of a private network (RFC 1918 and RFC 4193) may be
asked for; every other one is refused, "all addresses" too, for it would open the page to networks
that nobody thought of.

The *hosts* of a page are what a browser may call it by: the address with the port, and "localhost"
where that is the same.

Left out: names of computers, for a name can be made to point elsewhere; encryption.
"""

from __future__ import annotations

import errno
import ipaddress
import socket
from ipaddress import IPv4Address, IPv6Address

from lifecycle.errors import ScenarioError, fault

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
