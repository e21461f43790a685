"""Cards of the pages of help: answers set on paper in a device's units, and the readings of curves behind them."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from datetime import date
from functools import partial
from importlib import import_module

from fastapi.responses import Response
from starlette.exceptions import HTTPException

from temperbench import __version__
from temperbench.app.curve_results import CurveReading
from temperbench.app.keep_results import KeepPlan
from temperbench.app.results import Trouble
from temperbench.faces.web.asking import ask
from temperbench.faces.web.looks import Look, told

__all__ = ["Readings", "card_answer"]

_FILES = {CurveReading: "curve-card.pdf", Trouble: "trouble-card.pdf", KeepPlan: "keep-card.pdf"}
_GONE = "This reading is no longer here. Read the curve again, then print its card."


class Readings:
    """The last readings of curves: a log is sent once, and its card is asked for afterwards."""

    def __init__(self, most: int = 24) -> None:
        """Begin with none, and keep so many."""
        self._most = most
        self._known: OrderedDict[str, CurveReading] = OrderedDict()

    def keep(self, reading: CurveReading) -> str:
        """Keep a reading and return the name it is asked for by, which nobody can guess."""
        name = secrets.token_urlsafe(16)
        self._known[name] = reading
        if len(self._known) > self._most:
            self._known.popitem(last=False)
        return name

    def of(self, name: str) -> CurveReading:
        """Return a reading, or say that it is gone."""
        found = self._known.get(name)
        if found is None:
            raise HTTPException(404, _GONE)
        return found


async def card_answer(answer: CurveReading | Trouble | KeepPlan, look: Look, page: str) -> Response:
    """Return the card of an answer.

    Parameters
    ----------
    answer : CurveReading | Trouble | KeepPlan
        What stands on it. [-]
    look : Look
        Units of the device. [-]
    page : str
        "A4" or "Letter". [-]

    Returns
    -------
    Response
        A PDF of one page. [-]
    """
    pdf = await ask(_set, answer, look, page)
    shown = f'inline; filename="{_FILES[type(answer)]}"'
    return Response(pdf, media_type="application/pdf", headers={"content-disposition": shown})


def _set(answer: CurveReading | Trouble | KeepPlan, look: Look, page: str) -> bytes:
    """Set the card; the typesetter is loaded only for this."""
    paper = import_module("temperbench.faces.paper")
    issue = paper.Issue(page, date.today(), __version__, look.fahrenheit, partial(told, look=look))
    return bytes(paper.answer_card_pdf(answer, issue))
