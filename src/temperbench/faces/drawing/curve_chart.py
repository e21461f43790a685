"""The chart of a cooling curve: what was read, what the model makes of it, and the bend with its slope."""

from __future__ import annotations

import math

from temperbench.app.curve_results import BendRead, CurveReading
from temperbench.faces.drawing.canvas import blank_sheet, font_size
from temperbench.faces.drawing.frame import Frame, Sheet, band, curve, degree_axis, degree_ticks, minute_axis
from temperbench.faces.drawing.svg import Box, clipped, disc, document, polyline
from temperbench.faces.drawing.words import degrees
from temperbench.foundation.units import Pixel

__all__ = ["curve_caption", "curve_chart_svg", "curve_height", "slope_words"]

_LEAST_WIDTH_EM, _LEAST_HEIGHT_EM = 19.0, 13.0
_TITLE_EM, _FOOT_EM, _RIGHT_EM = 2.0, 1.6, 1.0
_TANGENT_MIN = 3.0  # minutes either way that the slope at the bend is drawn over
_NARROW_EM = 30.0  # below this width the legend is left to the caption
_LEGEND = "dots: read; line and band: model, 5 to 95 %"


def curve_height(width: Pixel, theme: str) -> Pixel:
    """Return the height at which a chart of this width looks right.

    Parameters
    ----------
    width : Pixel
        Width of the chart. [px]
    theme : str
        One of "light", "dark", "contrast", "print". [-]

    Returns
    -------
    Pixel
        Height. [px]
    """
    em = font_size(width, theme)
    return round(max(18 * em, min(0.5 * width, 28 * em)))


def slope_words(per_minute: float, fahrenheit: bool = False) -> str:
    """Write a slope with its sign.

    Parameters
    ----------
    per_minute : float
        Slope in °C/min. [-]
    fahrenheit : bool
        Whether to write °F/min. [-]

    Returns
    -------
    str
        For example "+0.36 °C/min". [-]
    """
    value = round(per_minute * (1.8 if fahrenheit else 1.0), 2) + 0.0
    return f"{value:+.2f} °{'F' if fahrenheit else 'C'}/min".replace("-", "−")


def curve_caption(reading: CurveReading, *, fahrenheit: bool = False) -> str:
    """Say in one sentence what the chart shows; it is also its accessible description.

    Parameters
    ----------
    reading : CurveReading
        A reading. [-]
    fahrenheit : bool
        Whether to write degrees Fahrenheit. [-]

    Returns
    -------
    str
        One sentence. [-]
    """
    crystals = reading.crystals_pct_of_fat
    told = f"{crystals.mid:.1f} % of its fat was crystals ({crystals.low:.1f} to {crystals.high:.1f})"
    if reading.bend is None:
        return f"The sample cooled from {degrees(reading.start_c, fahrenheit)} without a bend; by the model {told}."
    bend = reading.bend
    return (
        f"The sample cooled from {degrees(reading.start_c, fahrenheit)} and bent at "
        f"{degrees(bend.celsius.mid, fahrenheit)} after {bend.after_min.mid:.1f} min, with a slope of "
        f"{slope_words(bend.per_minute.mid, fahrenheit)}; by the model {told}."
    )


def curve_chart_svg(reading: CurveReading, width: Pixel, height: Pixel, theme: str, *, fahrenheit: bool = False) -> str:
    """Draw a cooling curve. For the theme "print" the sizes are points.

    Parameters
    ----------
    reading : CurveReading
        A reading. [-]
    width : Pixel
        Width of the drawing, at least 19 em: 304 on a screen. [px]
    height : Pixel
        Height of the drawing, at least 13 em. [px]
    theme : str
        One of "light", "dark", "contrast", "print". [-]
    fahrenheit : bool
        Whether temperatures are written in degrees Fahrenheit. [-]

    Returns
    -------
    str
        One SVG element with title and description. [-]
    """
    em = font_size(width, theme)
    least = (_LEAST_WIDTH_EM, _LEAST_HEIGHT_EM)
    sheet, whole = blank_sheet(reading, (width, height), em, theme, least, fahrenheit=fahrenheit)
    trial = _frame(reading, Box(0.0, 0.0, 20 * em, 12 * em))
    ticks = [text for _, text in degree_ticks(trial, em, fahrenheit)]
    left = sheet.labels.width([*ticks, "°F"]) + 0.6 * em
    box = Box(left, _TITLE_EM * em, width - _RIGHT_EM * em, height - _FOOT_EM * em)
    frame = _frame(reading, box)
    degree_axis(sheet, frame)
    minute_axis(sheet, frame, box.bottom, "min")
    model, seen = reading.model, reading.seen
    marks = [band(sheet, frame, model.t_s, model.low_c, model.high_c), curve(sheet, frame, model.t_s, model.mid_c)]
    points = frame.path(seen.t_s, seen.mid_c)
    marks += [disc(at, 0.16 * em, sheet.theme.ground, sheet.theme.ink, 0.08 * em) for at in points]
    if reading.bend is not None:
        marks += _bend(sheet, frame, reading.bend)
    sheet.marks.append(clipped(marks, box))
    if width / em >= _NARROW_EM:
        room = sheet.labels.width([_LEGEND])
        sheet.labels.put(_LEGEND, (box.right - room, box.top - 1.1 * em), sheet.theme.quiet)
    if reading.bend is not None:
        _name_bend(sheet, frame, reading.bend)
    said = curve_caption(reading, fahrenheit=fahrenheit)
    return document([*sheet.marks, *sheet.labels.marks], whole, em, title=reading.title, desc=said)


def _frame(reading: CurveReading, box: Box) -> Frame:
    seen, model = reading.seen, reading.model
    low = min(*seen.mid_c, *model.low_c)
    high = max(*seen.mid_c, *model.high_c)
    return Frame(box, max(seen.t_s[-1], 60.0), math.floor(low - 0.5), math.ceil(high + 0.5), min(seen.t_s[0], 0.0))


def _bend(sheet: Sheet[CurveReading], frame: Frame, bend: BendRead) -> list[str]:
    """The bend as a disc on a stretch of its tangent."""
    at = (frame.x(60.0 * bend.after_min.mid), frame.y(bend.celsius.mid))
    ends = [
        (frame.x(60.0 * (bend.after_min.mid + off)), frame.y(bend.celsius.mid + off * bend.per_minute.mid))
        for off in (-_TANGENT_MIN, _TANGENT_MIN)
    ]
    em = sheet.size
    return [
        polyline(ends, sheet.theme.burst, 0.1 * em, (0.5 * em, 0.3 * em)),
        disc(at, 0.42 * em, sheet.theme.burst, sheet.theme.ground, 0.12 * em),
    ]


def _name_bend(sheet: Sheet[CurveReading], frame: Frame, bend: BendRead) -> None:
    at = (frame.x(60.0 * bend.after_min.mid), frame.y(bend.celsius.mid))
    told = degrees(bend.celsius.mid, sheet.fahrenheit), slope_words(bend.per_minute.mid, sheet.fahrenheit)
    wordings = [[f"bend {told[0]}", told[1]], [f"bend {told[0]}, {told[1]}"]]
    sheet.labels.put_near(wordings, at, frame.box, sheet.theme.ink, sheet.theme.quiet)
