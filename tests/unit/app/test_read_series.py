"""Logs as loggers write them: whatever delimiter, decimal sign, clock, heading or unit; and what cannot be read."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from temperbench.app.read_series import Columns, read_series
from temperbench.app.series_table import moment, number_of
from temperbench.foundation.errors import InputError

T = np.arange(0.0, 900.0, 5.0)
C = np.round(np.where(T < 30.0, 31.5, 10.0 + 21.5 * np.exp(-(T - 30.0) / 300.0)), 2)


def lines(write: Callable[[float, float], str], head: str = "") -> bytes:
    """Write one line for each reading."""
    body = "\n".join(write(t, c) for t, c in zip(T, C, strict=True))
    return (f"{head}\n{body}\n" if head else f"{body}\n").encode()


def comma(x: float) -> str:
    """Write a number with a decimal comma."""
    return f"{x:.2f}".replace(".", ",")


def clock(t: float) -> str:
    """Write a time of day."""
    return f"{(10 * 3600 + int(t)) // 3600:02d}:{int(t) // 60 % 60:02d}:{int(t) % 60:02d}"


def day(t: float) -> str:
    """Write a date with a time of day."""
    return (datetime(2026, 11, 25, 10, 0, tzinfo=UTC) + timedelta(seconds=t)).strftime("%Y-%m-%d %H:%M:%S")


GOOD = {
    "commas": lines(lambda t, c: f"{t},{c}", "time,temp"),
    "no heading": lines(lambda t, c: f"{t},{c}"),
    "semicolons, decimal commas": lines(lambda t, c: f"{comma(t)};{comma(c)}", "Zeit;Temperatur"),
    "tabs": lines(lambda t, c: f"{t}\t{c}", "t (s)\tT (°C)"),
    "bars": lines(lambda t, c: f"{t}|{c}"),
    "blanks": lines(lambda t, c: f"{t:8.1f}   {c:6.2f}"),
    "blanks, decimal commas": lines(lambda t, c: f"{comma(t)}   {comma(c)}"),
    "temperature first": lines(lambda t, c: f"{c};{t}", "Probe °C;Zeit s"),
    "minutes": lines(lambda t, c: f"{t / 60:.4f},{c}", "time [min],temp"),
    "minutes without a unit": lines(lambda t, c: f"{t / 60:.4f},{c}"),
    "milliseconds": lines(lambda t, c: f"{1000 * t:.0f},{c}", "elapsed (ms),temp"),
    "hours": lines(lambda t, c: f"{t / 3600:.6f},{c}", "time (h),temp"),
    "clock": lines(lambda t, c: f"{clock(t)},{c}", "Time,Temp"),
    "date and clock": lines(lambda t, c: f"{day(t)},{c}", "stamp,probe"),
    "date beside clock": lines(lambda t, c: f"25.11.2026;{clock(t)};{comma(c)}", "Datum;Uhrzeit;Temp"),
    "ISO with zone": lines(lambda t, c: f"{day(t).replace(' ', 'T')}Z,{c}"),
    "since 1970": lines(lambda t, c: f"{1764060000 + t:.0f},{c}", "timestamp,temp"),
    "spreadsheet days": lines(lambda t, c: f"{45986.4 + t / 86400:.8f},{c}", "Date,Temp"),
    "units in cells": lines(lambda t, c: f"{t} s;{c} °C"),
    "quotes": lines(lambda t, c: f'"{t}","{c}"', '"time","temp"'),
    "preamble": lines(lambda t, c: f"{t},{c}", "Logger 7\nSerial,4711\nInterval,5 s\n\ntime,temp"),
    "fahrenheit stated": lines(lambda t, c: f"{t},{1.8 * c + 32:.3f}", "time,temp (°F)"),
    "byte order mark": b"\xef\xbb\xbf" + lines(lambda t, c: f"{t},{c}", "time,temp"),
    "western letters": "Zeit;K\xfchlung °C\n".encode("cp1252") + lines(lambda t, c: f"{t};{comma(c)}"),
    "two-byte text": lines(lambda t, c: f"{t},{c}", "time,temp").decode().encode("utf-16"),
    "pairs": json.dumps([[t, c] for t, c in zip(T.tolist(), C.tolist(), strict=True)]).encode(),
    "objects": json.dumps([{"s": t, "c": c} for t, c in zip(T.tolist(), C.tolist(), strict=True)]).encode(),
    "columns": json.dumps({"s": T.tolist(), "c": C.tolist()}).encode(),
    "wrapped": json.dumps({"readings": [[t, c] for t, c in zip(T.tolist(), C.tolist(), strict=True)]}).encode(),
    "JSON lines": b"\n".join(
        json.dumps({"s": t, "c": c}).encode() for t, c in zip(T.tolist(), C.tolist(), strict=True)
    ),
}


@pytest.mark.parametrize("name", GOOD)
def test_logs_of_every_make_read_alike(name: str) -> None:
    """The same curve comes out of every way to write it, within the digits written."""
    found = read_series(GOOD[name], "log.csv").series
    assert len(found.seconds) == len(T)
    assert np.abs(found.seconds - T).max() < 0.5
    assert np.abs(found.celsius - C).max() < 0.006


def test_minutes_taken_for_granted_are_told() -> None:
    """What was guessed about the time is said."""
    assert "minutes" in " ".join(read_series(GOOD["minutes without a unit"], "log.csv").notes)
    assert read_series(GOOD["commas"], "log.csv").notes == ()


def test_a_bath_beside_the_sample_is_taken_along() -> None:
    """A column whose heading says bath is the bath; the other one is the sample."""
    found = read_series(lines(lambda t, c: f"{t};{c};{0.3 + t / 9000:.3f}", "Zeit;Schoko;Eisbad"), "log.csv").series
    assert found.bath_c is not None
    assert found.bath_c[-1] == pytest.approx(0.3 + T[-1] / 9000, abs=1e-3)
    assert np.abs(found.celsius - C).max() < 1e-9


def test_columns_can_be_named_or_numbered() -> None:
    """Where several could be the sample, a heading or a number decides, in capitals or not."""
    content = lines(lambda t, c: f"{t},{c + 1},{c}", "time,left,right")
    for asked in ("right", "RIGHT", "3"):
        assert np.abs(read_series(content, "log.csv", Columns(sample=asked)).series.celsius - C).max() < 1e-9
    with pytest.raises(InputError, match="left, right"):
        read_series(content, "log.csv")
    with pytest.raises(InputError, match="did you mean “right”"):
        read_series(content, "log.csv", Columns(sample="rihgt"))


def test_midnight_is_passed() -> None:
    """A clock that begins again at midnight goes on."""

    def late(t: float) -> str:
        second = (86400 - 300 + int(t)) % 86400
        return f"{second // 3600:02d}:{second // 60 % 60:02d}:{second % 60:02d}"

    found = read_series(lines(lambda t, c: f"{late(t)},{c}"), "log.csv").series
    assert np.abs(found.seconds - T).max() < 1e-9


def test_readings_within_one_minute_are_spread() -> None:
    """A clock that shows minutes only, several readings each: they are spread evenly, and that is told."""
    found = read_series(lines(lambda t, c: f"{clock(t)[:5]},{c}"), "log.csv")
    assert np.abs(found.series.seconds - T).max() < 1e-6
    assert "same time" in " ".join(found.notes)


def test_a_few_lines_without_a_reading_are_left_out() -> None:
    """Signs of a fault are skipped and counted."""
    content = lines(lambda t, c: f"{t},{'---' if t % 100 == 50 else 850.0 if t == 200 else c}", "time,temp")
    found = read_series(content, "log.csv")
    assert len(found.series.seconds) == len(T) - 10
    assert found.notes == ("10 lines without a usable reading were left out.",)


def stuck(low: float) -> bytes:
    """A sensor that reads nothing below a figure."""
    return lines(lambda t, c: f"{t},{max(c, low)}", "time,temp")


BAD = {
    "no time column": (lines(lambda _t, c: f"{c},{31 + (c * 977) % 1:.2f}"), "without a time column"),
    "time going back": (lines(lambda t, c: f"{(t if t != 300 else 100)},{c}", "time,temp"), "goes back in line 62"),
    "fahrenheit suspected": (lines(lambda t, c: f"{t},{1.8 * c + 32:.2f}"), "look like °F"),
    "a gap": (lines(lambda t, c: f"{t if t < 300 else t + 600},{c}"), "a gap of 10.1 min before line 61"),
    "a stuck sensor": (stuck(20.0), "stays at its lowest, 20 °C"),
    "too short": (b"0,31\n5,30\n10,29\n", "3 readings over 0.2 min"),
    "constant": (lines(lambda t, _c: f"{t},21.5"), "stays at 21.5 °C"),
    "empty": (b"", "an empty file"),
    "blank": (b" \n\n", "an empty file"),
    "prose": (b"the chocolate was nice\nand cold\n", "without two columns of figures"),
    "one column": (lines(lambda _t, c: f"{c}"), "without two columns of figures"),
    "a picture": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "no text"),
    "mostly faults": (lines(lambda t, c: f"{t},{c if t < 500 else 'nan'}", "time,temp"), "lines without a reading"),
    "JSON of another shape": (b'{"a": 1}', "JSON of another shape"),
    "broken JSON": (b"[[0, 31.5], [1,", "begins like JSON"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_read_is_refused_in_words(name: str) -> None:
    """One sentence with the file, what is wrong, what would do, and a remedy."""
    content, says = BAD[name]
    with pytest.raises(InputError) as caught:
        read_series(content, "log.csv")
    assert says in str(caught.value)
    assert caught.value.field == "log.csv"
    assert len(caught.value.remedy) > 10


def test_stated_units_are_believed() -> None:
    """°F that is stated is converted; figures that look like °F but are called °C are taken as they are."""
    content = lines(lambda t, c: f"{t},{1.8 * c + 32:.3f}")
    assert np.abs(read_series(content, "x", Columns(fahrenheit=True)).series.celsius - C).max() < 0.001
    assert read_series(content, "x", Columns(fahrenheit=False)).series.celsius[0] == pytest.approx(88.7, abs=0.01)


def test_a_sample_that_comes_to_its_bath_is_no_stuck_sensor() -> None:
    """A level that is crept up to is the bath's."""
    slow = np.round(8.0 + 23.5 * np.exp(-np.arange(0.0, 3000.0, 5.0) / 300.0), 1)
    content = "\n".join(f"{5 * i},{c}" for i, c in enumerate(slow)).encode()
    assert len(read_series(content, "x").series.seconds) == len(slow)


@pytest.mark.parametrize(
    ("cell", "value"),
    [("12,5", 12.5), ("12.5", 12.5), ("−3", -3.0), ("31.4 °C", 31.4), ("1e2", 100.0), ("", None), ("1.234,5", None)],
)
def test_numbers_in_cells(cell: str, value: float | None) -> None:
    """Decimal point or comma, a minus of print, a unit; what could be read in two ways is no number."""
    assert value == number_of(cell)


@pytest.mark.parametrize(
    ("cell", "value"),
    [("01:02:03", 3723.0), ("02:03.5", 123.5), ("1:02:03 pm", 46923.0), ("1970-01-02 00:00:01", 86401.0),
     ("02.01.1970", 86400.0), ("soon", None)],
)  # fmt: skip
def test_moments_in_cells(cell: str, value: float | None) -> None:
    """Clock times, dates and both."""
    assert value == moment(cell)
