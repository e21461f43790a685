"""Pages of help at the bowl: something is wrong, and the cooling curve of a sample."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Annotated, Any, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, Response
from starlette.datastructures import UploadFile

from temperbench.app.curve_results import CurveReading
from temperbench.app.find_trouble import find_trouble
from temperbench.app.job_fields import field_of
from temperbench.app.read_curve import log_of, read_curve
from temperbench.app.results import Trouble
from temperbench.app.run_trouble import trouble_of_run
from temperbench.faces.drawing.curve_chart import curve_caption, curve_chart_svg, curve_height
from temperbench.faces.web.asking import ask
from temperbench.faces.web.cards import Readings, card_answer
from temperbench.faces.web.door import Door
from temperbench.faces.web.guard import LARGEST_LOG
from temperbench.faces.web.help_forms import asked_trouble, given_job, sign_groups
from temperbench.faces.web.looks import Look, look_of
from temperbench.faces.web.pages import form_of
from temperbench.faces.web.rendering import Rendering
from temperbench.foundation.errors import InputError
from temperbench.foundation.units import Pixel

__all__ = ["help_router"]

_SIGNS = Query(max_length=40, pattern=r"^[^\x00-\x1f\x7f]*$")
_Words = Annotated[list[Annotated[str, _SIGNS]], Query(default_factory=list, max_length=40)]
_Name = Annotated[str, Query(pattern=r"^[A-Za-z0-9_-]{1,64}$")]
_Page = Literal["A4", "Letter"]
_CHOCOLATE = ("chocolate", "grams", "room_c", "method", "thermometer")
_SAMPLE = ("sample_g", "cup", "ice_c", "bowl_reads_c")
_WIDE, _NARROW = 960.0, 352.0


def help_router(kitchen: Door, rendering: Rendering, clock_ms: Callable[[], int]) -> APIRouter:
    """Return the routes of the pages of help.

    Parameters
    ----------
    kitchen : Door
        The kitchen whose runs a question may be about. [-]
    rendering : Rendering
        Of the pages. [-]
    clock_ms : Callable[[], int]
        Tells the time, UTC ms. [-]

    Returns
    -------
    APIRouter
        The routes. [-]
    """
    router = APIRouter(include_in_schema=False)
    _add_wrong(router, kitchen, rendering, clock_ms)
    _add_curve(router, rendering)
    return router


def _add_wrong(router: APIRouter, kitchen: Door, rendering: Rendering, clock_ms: Callable[[], int]) -> None:
    @router.get("/wrong")
    async def wrong(request: Request, seen: _Words, found: _Words) -> HTMLResponse:
        return await answered(request, seen, found)

    @router.get("/wrong/card.pdf")
    async def card(request: Request, seen: _Words, found: _Words, page: _Page = "A4") -> Response:
        answer = await found_by(request, _given(request), seen, found)
        return await card_answer(answer, look_of(request.cookies), page)

    async def found_by(
        request: Request, given: Mapping[str, str], seen: Sequence[str], found: Sequence[str]
    ) -> Trouble:
        look, run = look_of(request.cookies), given.get("run", "")
        told = asked_trouble(given, seen, found, look)
        if run:
            return await ask(trouble_of_run, kitchen, run, told, clock_ms())
        return await ask(find_trouble, given_job(given, _CHOCOLATE, look), told)

    async def answered(request: Request, seen: Sequence[str], found: Sequence[str]) -> HTMLResponse:
        given = _given(request)
        run = given.get("run", "")
        title = (await ask(kitchen.view, run)).title if run else ""
        answer: Trouble | None = None
        refused: InputError | None = None
        if seen or found or any(given.get(key) for key in ("hottest", "reads", "minutes", "set_in", "not_set_by")):
            try:
                answer = await found_by(request, given, seen, found)
            except InputError as error:
                refused = error
        return rendering.page(
            request, "wrong.html", status=422 if refused else 200, groups=sign_groups(), given=given, seen=set(seen),
            found=list(found), answer=answer, trouble=refused, run=run, run_title=title, more=_longer(request),
            card=_card(request), kinds=field_of("chocolate").words, methods=field_of("method").words,
        )  # fmt: skip


def _given(request: Request) -> dict[str, str]:
    return {key: value[:80] for key, value in request.query_params.items() if value.isprintable()}


def _card(request: Request) -> str:
    """Return the address of the card of the same question, to which the paper is added."""
    asked = [(key, value) for key, value in request.query_params.multi_items() if value and key != "page"]
    return f"/wrong/card.pdf?{urlencode([*asked, ('page', '')])}"


def _longer(request: Request) -> Callable[[str], str]:
    """Return what makes the address of the same question with one more outcome of a check."""
    asked = [(key, value) for key, value in request.query_params.multi_items() if value]

    def address(outcome: str) -> str:
        check = outcome.partition("=")[0]
        kept = [(k, v) for k, v in asked if not (k == "found" and v.partition("=")[0] == check)]
        return f"/wrong?{urlencode([*kept, ('found', outcome)])}#answer"

    return address


def _add_curve(router: APIRouter, rendering: Rendering) -> None:
    readings = Readings()

    def shown(request: Request, given: dict[str, str], reading: CurveReading | None, trouble: InputError | None,
              ) -> HTMLResponse:  # fmt: skip
        look = look_of(request.cookies)
        drawn = {} if reading is None else {**_drawings(reading, look), "card": _curve_card(readings.keep(reading))}
        return rendering.page(
            request, "curve.html", status=422 if trouble else 200, given=given, reading=reading, trouble=trouble,
            kinds=field_of("chocolate").words, **{"wide": "", "narrow": "", "caption": "", "card": "", **drawn},
        )  # fmt: skip

    @router.get("/curve")
    async def curve(request: Request) -> HTMLResponse:
        return shown(request, {}, None, None)

    @router.get("/curve/card.pdf")
    async def card(request: Request, reading: _Name, page: _Page = "A4") -> Response:
        return await card_answer(readings.of(reading), look_of(request.cookies), page)

    @router.post("/curve")
    async def read(request: Request) -> Response:
        given, look = await form_of(request), look_of(request.cookies)
        try:
            content, name = await _log(request)
            reading = await ask(_reading, content, name, given, look)
        except InputError as trouble:
            return shown(request, given, None, trouble)
        finally:
            await request.close()  # and with it the file that was sent
        return shown(request, given, reading, None)


def _curve_card(name: str) -> str:
    """Return the address of the card of a reading, to which the paper is added."""
    return f"/curve/card.pdf?{urlencode([('reading', name), ('page', '')])}"


def _reading(content: bytes, name: str, given: dict[str, str], look: Look) -> CurveReading:
    raw = given_job(given, ("chocolate", "grams"), look)
    return read_curve(raw, given_job(given, _SAMPLE, look), log_of(content, name))


async def _log(request: Request) -> tuple[bytes, str]:
    """Return the file that was sent, or what was pasted in its place, with a name for messages."""
    form: Any = await request.form()
    sent = form.get("log")
    if isinstance(sent, UploadFile) and sent.filename:
        return await sent.read(LARGEST_LOG), sent.filename[:80]
    pasted = form.get("pasted")
    if isinstance(pasted, str) and pasted.strip():
        return pasted.encode(), "what you pasted"
    raise InputError("The log", "nothing", "a file with times and temperatures", "choose it, or paste its lines")


def _drawings(reading: CurveReading, look: Look) -> dict[str, str]:
    """Return the chart for a tablet and for a phone, with the sentence below."""

    def draw(width: Pixel) -> str:
        return look.drawn(
            lambda theme: curve_chart_svg(reading, width, curve_height(width, theme), theme, fahrenheit=look.fahrenheit)
        )

    return {
        "wide": draw(_WIDE),
        "narrow": draw(_NARROW),
        "caption": look.written(curve_caption(reading, fahrenheit=look.fahrenheit)),
    }
