"""Headers of every answer and checks of every write, as plain ASGI layers."""

from __future__ import annotations

from collections.abc import Callable
from ipaddress import ip_address
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.middleware.body_limit import RequestBodyLimitMiddleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.common.errors import Forbidden
from webapp.common.text.language import tr

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS", "TRACE"})

_POLICY = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data:",
    "font-src": "'self'",
    "connect-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}

_HEADERS = {
    "Content-Security-Policy": "; ".join(f"{name} {value}" for name, value in _POLICY.items()),
    "X-Content-Type-Options": "nosniff",
    # Quotes are reached by secret links: no other site may learn them.
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def security_headers(*, behind_tls: bool) -> dict[str, str]:
    """The headers of every answer; strict transport only where there is TLS to keep."""
    transport = {"Strict-Transport-Security": "max-age=31536000; includeSubDomains"}
    return _HEADERS | (transport if behind_tls else {})


class SecurityHeaders:
    """Puts the security headers on every answer."""

    def __init__(self, app: ASGIApp, *, behind_tls: bool) -> None:
        self.app = app
        self.headers = security_headers(behind_tls=behind_tls)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on and complete the head of its answer."""

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                head = MutableHeaders(scope=message)
                for name, value in self.headers.items():
                    head.setdefault(name, value)
            await send(message)

        await self.app(scope, receive, send_with_headers)


def refuse_cross_site(request: Request) -> None:
    """Refuse a write that a browser sends on behalf of another site.

    Browsers say where a request comes from (``Sec-Fetch-Site``, older ones
    ``Origin``), and pages cannot forge it. A client that says neither is no
    browser; it passes as long as it brings no cookie, so that it cannot use
    somebody's session.

    Raises
    ------
    Forbidden
        For a write from another site, or from an unknown one with a cookie.
    """
    if request.method in SAFE_METHODS:
        return
    headers = request.headers
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site is not None:
        allowed = site in {"same-origin", "none"}
    elif origin is not None:
        allowed = origin.partition("://")[2] == headers.get("host")
    else:
        allowed = "cookie" not in headers
    if not allowed:
        raise Forbidden("request", site or origin, "send this form from the service's own page")


class SameSiteWrites:
    """Runs `refuse_cross_site` before anything reads the request."""

    def __init__(self, app: ASGIApp, *, answer: Callable[[Request, Forbidden], ASGIApp]) -> None:
        self.app = app
        self.answer = answer

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer it with the refusal."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        try:
            refuse_cross_site(request)
        except Forbidden as error:
            await self.answer(request, error)(scope, receive, send)
            return
        await self.app(scope, receive, send)


class SmallRequests:
    """Refuses an address or a body beyond a size, with the same answer and headers as any refusal.

    The framework's own limit stands outside every layer: to a body that declares its length it
    answers with bare text. Here the declared length is checked first, so the framework's limit
    applies only to bodies of undeclared length.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        most: int,
        longest: int,
        answer: Callable[[Request, HTTPException], ASGIApp],
    ) -> None:
        self.app = app
        self.most, self.longest = most, longest
        self.answer = answer
        self.counting = RequestBodyLimitMiddleware(app, max_body_size=most)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or answer it with the refusal."""
        if scope["type"] == "http" and (status := self._refused(scope)):
            refusal = self.answer(Request(scope), HTTPException(status))
            await refusal(scope, receive, send)
            return
        await self.counting(scope, receive, send)

    def _refused(self, scope: Scope) -> int:
        """Status of the refusal; 0 for what is answered."""
        if len(scope["path"]) + len(scope["query_string"]) > self.longest:
            return 414
        return 413 if self._announced(scope) > self.most else 0

    def _announced(self, scope: Scope) -> int:
        text = Headers(scope=scope).get("content-length", "")
        if not (text.isascii() and text.isdigit()):
            return 0
        return int(text) if len(text) < 20 else self.most + 1  # noqa: PLR2004  # no such length


class HeadAsGet:
    """Answers HEAD wherever GET is answered: with the same headers and no body."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Ask as GET and keep the body back."""
        if scope["type"] != "http" or scope["method"] != "HEAD":
            await self.app(scope, receive, send)
            return

        async def send_head(message: Message) -> None:
            await send({**message, "body": b""} if "body" in message else message)

        await self.app({**scope, "method": "GET"}, receive, send_head)


class KnownHost:
    """Refuses a request whose Host is no host, or none that the service is known by.

    Parameters
    ----------
    app : ASGIApp
    names : frozenset of str
        Names the service is known by; empty when any will do. This machine itself and
        plain network addresses, by which a service is watched, always will.
    """

    def __init__(self, app: ASGIApp, *, names: frozenset[str] = frozenset()) -> None:
        self.app = app
        self.names = names

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, or refuse it in plain words: a page needs an address."""
        if scope["type"] == "http" and (words := self._refusal(Headers(scope=scope).get("host"))):
            await PlainTextResponse(words, 400)(scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _refusal(self, host: str | None) -> str | None:
        name = _name_of(host or "")
        if name is None:
            return tr("The Host header of this request is no host.")
        if not self.names or name in self.names or name == "localhost" or _is_number(name):
            return None
        return tr(
            "This service is not known by the name of this request. Whoever runs it can add the "
            "name to ALLOWED_HOSTS."
        )


def _name_of(host: str) -> str | None:
    """The name in a Host header, without its port; None for what is no host.

    >>> _name_of("Shop.example.:8000"), _name_of("[::1]:80"), _name_of("[::1"), _name_of("a/b")
    ('shop.example', '::1', None, None)
    """
    try:
        parts = urlsplit(f"//{host}")
        readable = parts.netloc == host and (parts.port is None or parts.port >= 0)
    except ValueError:
        return None
    return (parts.hostname or "").removesuffix(".") if readable else None


def _is_number(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True
