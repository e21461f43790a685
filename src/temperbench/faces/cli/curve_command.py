"""What ``temperbench curve`` does."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from temperbench.app.curve_fields import CURVE_FIELDS
from temperbench.app.curve_json import calibration_json, curve_json
from temperbench.app.curve_results import CurveReading
from temperbench.app.read_curve import calibrate_cup, log_of, read_conductance, read_curve
from temperbench.app.read_figure import Phrase, read_word
from temperbench.app.read_series import Columns, Logged
from temperbench.app.series_table import LARGEST_BYTES
from temperbench.faces.cli.announce import Waiting
from temperbench.faces.cli.cards import page_of, write_card
from temperbench.faces.cli.curve_text import calibration_text, curve_text
from temperbench.faces.cli.job_options import given_of, raw_job
from temperbench.faces.cli.output import counts, print_json, target, write
from temperbench.faces.drawing.curve_chart import curve_chart_svg, curve_height
from temperbench.foundation.errors import InputError, NotGiven

__all__ = ["run"]

_PLOT_WIDTH = 960.0
_ANY_MEMBERS = "512"  # a curve has no ensemble of bowls
_ADD_FILE = "add the file your logger wrote, for example sample.csv, or --water water.csv to calibrate the cup"


def run(
    *, log: str | None, water: str | None, conductance: str | None, time_column: str | None, column: str | None,
    bath_column: str | None, unit: str | None, job_file: str | None, as_json: bool, card: str | None, plot: str | None,
    seed: str,
    **answers: Any,
) -> None:  # fmt: skip
    """Read a cooling curve, a run with water, or both, and show what they say.

    Parameters
    ----------
    log, water : str | None
        Log of the sample, and of water in the same cup. [-]
    conductance : str | None
        Between cup and bath, as written. [-]
    time_column, column, bath_column : str | None
        Columns to take, by name or number. [-]
    unit : str | None
        C or F. [-]
    job_file : str | None
        Path of a job file, for the chocolate. [-]
    as_json : bool
        Whether to print JSON. [-]
    card, plot : str | None
        Where to write the card, and the drawing. [-]
    seed : str
        Start of the random numbers. [-]
    **answers : Any
        Options of the chocolate and of the sample. [-]
    """
    sample = given_of(CURVE_FIELDS, answers)
    columns = Columns(time_column, column, bath_column, _fahrenheit(unit))
    plot_path, card_path = target(plot, ".svg", "--plot"), target(card, ".pdf", "--card")
    start = counts(_ANY_MEMBERS, seed)[1]
    if log is None and (water is None or card_path is not None):
        raise NotGiven("LOG", Phrase("nothing"), "a file with times and temperatures", _ADD_FILE)
    calibration = None if water is None else calibrate_cup(sample, _logged(water, "--water", columns))
    if log is None:
        if calibration is not None:
            _show(calibration_json(calibration) if as_json else calibration_text(calibration))
        return
    told = None if conductance is None else read_conductance(conductance, "--conductance")
    logged = _logged(log, "LOG", columns)
    raw = raw_job(job_file, answers)
    page = page_of(raw)
    with Waiting() as waiting:
        reading = read_curve(raw, sample, logged, conductance=told or calibration, seed=start, progress=waiting.tell)
    _write(reading, plot_path, card_path, page)
    _show(curve_json(reading) if as_json else curve_text(reading))


def _write(reading: CurveReading, plot_path: Path | None, card_path: Path | None, page: str) -> None:
    """Write the files that were asked for."""
    if plot_path is not None:
        drawn = curve_chart_svg(reading, _PLOT_WIDTH, curve_height(_PLOT_WIDTH, "light"), "light")
        write(plot_path, drawn.encode(), "--plot")
    if card_path is not None:
        write_card(card_path, reading, page)


def _fahrenheit(unit: str | None) -> bool | None:
    return None if unit is None else read_word(unit, ("C", "F"), "--unit") == "F"


def _show(answer: dict[str, object] | str) -> None:
    if isinstance(answer, str):
        click.echo(answer, nl=False)
    else:
        print_json(answer)


def _logged(name: str, place: str, columns: Columns) -> Logged:
    """Read a log from a file, or from standard input."""
    if name == "-":
        return log_of(sys.stdin.buffer.read(LARGEST_BYTES + 1), "standard input", columns)
    try:
        with Path(name).open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "it cannot be read"
        allowed = "a file that can be read"
        raise InputError(place, name, allowed, f"check its name and folder; the system says: {reason}") from None
    return log_of(content, Path(name).name, columns)
