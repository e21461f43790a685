"""Who is asking: passes signed for a role, tokens of probes and scripts, and the machine itself."""

from __future__ import annotations

import base64
import hashlib
import hmac
import ipaddress
import time
from collections.abc import Callable
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers
from starlette.types import Scope

from temperbench.faces.web.probe_tokens import ProbeTokens
from temperbench.faces.web.settings import ROLES, WebSettings

__all__ = ["PASS", "Access"]

PASS = "temperbench_pass"
_DAY_S = 86400


class Access:
    """Gives passes and reads them. A pass is the role and its last day, signed: nothing is kept on the server."""

    def __init__(
        self, settings: WebSettings, clock: Callable[[], float] = time.time, tokens: ProbeTokens | None = None
    ) -> None:
        """Take the tokens of roles from the settings, those of probes apart, and the time from a clock in seconds."""
        self._settings = settings
        self._clock = clock
        self._tokens = tokens or ProbeTokens()

    def role_for_token(self, token: str) -> str | None:
        """Return the role a token stands for; every comparison takes the same time."""
        found = None
        for role in ROLES:
            if hmac.compare_digest(getattr(self._settings.secrets, role).encode(), token.encode()):
                found = role
        return found

    def new_pass(self, role: str) -> str:
        """Return a signed pass for a role."""
        last = int(self._clock()) + self._settings.pass_days * _DAY_S
        return f"{role}.{last}.{self._signed(f'{role}.{last}')}"

    def role_of(self, scope: Scope) -> str | None:
        """Return the role of whoever asks, or None."""
        headers = Headers(scope=scope)
        if headers.get("authorization"):
            token = _bearer(headers)
            return self.role_for_token(token) or (None if self._tokens.name_of(token) is None else "probe")
        if not self._settings.lan or self._is_this_machine(scope):
            return "owner"
        return self._role_of_pass(_cookie(headers.get("cookie", ""), PASS))

    def probe_of(self, scope: Scope) -> str | None:
        """Return which probe asks with its token; None when it is no probe."""
        return self._tokens.name_of(_bearer(Headers(scope=scope)))

    def _role_of_pass(self, given: str) -> str | None:
        role, _, rest = given.partition(".")
        last, _, signature = rest.partition(".")
        if role not in ROLES or not last.isascii() or not last.isdigit() or len(last) > 12:
            return None
        good = hmac.compare_digest(self._signed(f"{role}.{last}").encode(), signature.encode())
        return role if good and int(last) > self._clock() else None

    def _signed(self, text: str) -> str:
        digest = hmac.new(self._settings.secrets.key.encode(), text.encode(), hashlib.sha256).digest()
        return base64.urlsafe_b64encode(digest).decode().rstrip("=")

    def _is_this_machine(self, scope: Scope) -> bool:
        try:
            return ipaddress.ip_address((scope.get("client") or ("", 0))[0]).is_loopback
        except ValueError:
            return False


def _bearer(headers: Headers) -> str:
    scheme, _, token = headers.get("authorization", "").partition(" ")
    return token.strip() if scheme.lower() == "bearer" else ""


def _cookie(header: str, name: str) -> str:
    try:
        found = SimpleCookie(header).get(name)
    except CookieError:
        return ""
    return found.value if found else ""
