"""Who may talk to the desk: texts of a request in, yes or no out. No server in here.

Any page that is open in the same browser can send requests to this machine, and a name that its owner points
at this machine makes them look like the page's own. So each request has to name a host that is ours, a
websocket has to come from our own page, and all but the door need a cookie that no page can read and that a
browser sends only from our own pages.
"""

import hmac
import ipaddress
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from typing import Final

KEY_SIGNS: Final = "23456789abcdefghjkmnpqrstuvwxyz"
"""Letters and digits that nobody takes for one another."""

KEY_LENGTH: Final = 12
"""31 to the power of 12 keys, and one guess a second at most: typed once, never guessed."""

HEADERS: Final[Mapping[str, str]] = {
    "Content-Security-Policy": "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "font-src 'self'; connect-src 'self'; img-src 'self' data:; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'",
    "X-Frame-Options": "DENY",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}
"""What every answer carries. Styles inside the page are allowed because the terminal in it writes its own."""


def new_key() -> str:
    """A random key, in groups that can be read off one screen and typed on another."""
    signs = [secrets.choice(KEY_SIGNS) for _ in range(KEY_LENGTH)]
    return "-".join("".join(signs[at : at + 4]) for at in range(0, KEY_LENGTH, 4))


@dataclass(frozen=True, slots=True)
class Guard:
    """The rules of one server: its port, the names it is known by, its key, and the cookie that the key gives."""

    port: int
    names: tuple[str, ...] = ()
    key: str = field(default_factory=new_key)
    token: str = field(default_factory=lambda: secrets.token_urlsafe(32))

    @property
    def cookie_name(self) -> str:
        """Cookies are shared by all ports of a host: the name keeps two servers apart."""
        return f"rotary-{self.port}"

    def is_key(self, typed: str) -> bool:
        """Whether this is the key, typed with or without its dashes."""
        plain = "".join(sign for sign in typed.casefold() if sign.isalnum())
        return hmac.compare_digest(plain.encode(), self.key.replace("-", "").encode())

    def has_cookie(self, cookies: str) -> bool:
        """Whether the Cookie header has the token."""
        try:
            found = SimpleCookie(cookies).get(self.cookie_name)
        except CookieError:
            return False
        return found is not None and hmac.compare_digest(found.value.encode(), self.token.encode())

    def host_is_ours(self, host: str, local_address: str) -> bool:
        """Whether the Host header names this server; `local_address` is where the connection came in.

        >>> guard = Guard(7480, names=("shop.local",))
        >>> [guard.host_is_ours(host, "127.0.0.1") for host in ("localhost:7480", "127.0.0.1:7480", "evil.test:7480")]
        [True, True, False]
        """
        name, port = _split(host)
        if port != self.port:
            return False
        local = _address(local_address)
        if name in {known.casefold() for known in self.names}:
            return True
        if name == "localhost":
            return local is not None and local.is_loopback
        return local is not None and _address(name) == local

    def origin_is_ours(self, origin: str | None, host: str) -> bool:
        """Whether the Origin header, which a browser sends with every websocket, is our own page's."""
        return origin is not None and origin.casefold() == f"http://{host.casefold()}"


def comes_from_elsewhere(fetch_site: str | None, is_navigation: bool) -> bool:
    """Whether a browser says that another site's page asks for something, other than by a link that is followed."""
    return fetch_site in ("cross-site", "same-site") and not is_navigation


def is_this_machine_only(address: str) -> bool:
    """Whether nothing but this machine reaches an address.

    >>> [is_this_machine_only(address) for address in ("127.0.0.1", "::1", "localhost", "0.0.0.0", "192.0.2.7")]
    [True, True, True, False, False]
    """
    found = _address(address)
    return address == "localhost" if found is None else found.is_loopback


def _split(host: str) -> tuple[str, int]:
    """Name and port of a Host header, (name, -1) where the port is no number."""
    name, colon, port = host.rpartition(":")
    if not colon:
        return host.casefold(), 80
    in_brackets = name.startswith("[") and name.endswith("]")
    if (":" in name) != in_brackets or not (port.isascii() and port.isdigit() and len(port) < 6):
        return host.casefold(), -1
    return name.removeprefix("[").removesuffix("]").casefold(), int(port)


def _address(text: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address | None:
    try:
        found = ipaddress.ip_address(text.partition("%")[0])
    except ValueError:
        return None
    mapped = getattr(found, "ipv4_mapped", None)
    return mapped or found
