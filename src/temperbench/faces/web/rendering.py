"""Pages from templates: every text escaped, every figure in the device's units."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context

from temperbench.faces.drawing.words import degrees
from temperbench.faces.web.assets import asset_url
from temperbench.faces.web.live_page import headline_parts
from temperbench.faces.web.looks import look_of, told, unbroken
from temperbench.faces.web.settings import WebSettings
from temperbench.faces.web.telling import facts_line, happened

__all__ = ["Rendering"]


class Rendering:
    """The templates of the package."""

    def __init__(self, settings: WebSettings, trouble: Callable[[], str]) -> None:
        """Load no template yet; they are compiled at first use. ``trouble`` tells what every page has to say."""
        self._settings, self._banner = settings, trouble
        loader = PackageLoader("temperbench.faces.web", "templates")
        self._templates = Environment(
            loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
        )
        self._templates.globals |= {"asset": asset_url, "settings": settings}
        self._templates.filters |= {
            "told": _told, "degrees": _degrees, "grams": _grams, "day": _day, "clock": _clock, "happened": _happened,
            "facts": facts_line, "stock": _stock, "parts": headline_parts, "unbroken": unbroken,
        }  # fmt: skip

    def page(self, request: Request, template: str, *, status: int = 200, **shown: Any) -> HTMLResponse:
        """Return a page.

        Parameters
        ----------
        request : Request
            Whose look and role it is drawn for. [-]
        template : str
            File name of the template. [-]
        status : int
            Of the answer. [-]
        **shown : Any
            What the template shows. [-]

        Returns
        -------
        HTMLResponse
            The page. [-]
        """
        role = getattr(request.state, "role", None)
        text = self._templates.get_template(template).render(
            look=look_of(request.cookies),
            role=role,
            path=request.url.path,
            banner=self._banner(),
            now_ms=time.time_ns() // 1_000_000,
            **shown,
        )
        return HTMLResponse(text, status)

    def trouble(self, request: Request, status: int, message: str) -> HTMLResponse:
        """Return the page that says in a sentence why something was not done."""
        return self.page(request, "trouble.html", status=status, message=message)


@pass_context
def _told(context: Context, text: str) -> str:
    return told(text, context["look"])


@pass_context
def _degrees(context: Context, value: float) -> str:
    return str(context["look"].written(degrees(value, context["look"].fahrenheit)))


@pass_context
def _grams(context: Context, value: float) -> str:
    return str(context["look"].grams(float(value)))


@pass_context
def _happened(context: Context, happening: Any) -> str:
    return told(happened(happening), context["look"])


@pass_context
def _stock(context: Context, value: Any) -> str:
    """Write a stock, whether it was kept as grams or as it was typed."""
    return str(context["look"].grams(float(value))) if isinstance(value, int | float) else str(value)


def _day(ms: int) -> str:
    """Write a day without a time zone of its own: the page's script puts the device's time in its place."""
    return f"{datetime.fromtimestamp(ms / 1000, UTC):%Y-%m-%d %H:%M} UTC"


def _clock(ms: int) -> str:
    return f"{datetime.fromtimestamp(ms / 1000, UTC):%H:%M:%S}"
