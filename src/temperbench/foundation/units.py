"""Unit aliases for typed signatures: the alias is the truth, the bracket in the docstring repeats it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

__all__ = [
    "Celsius", "Fraction", "Gram", "JoulePerKelvin", "JoulePerKg", "JoulePerKgK", "KgPerM3", "Kilogram", "Litre",
    "Metre", "Minute", "Pascal", "PascalSecond", "Percent", "PerSecond", "Second", "SquareMetre", "Unit", "Watt",
    "WattPerKelvin", "WattPerM2K", "WattPerMK",
]  # fmt: skip


@dataclass(frozen=True)
class Unit:
    """The unit of an annotated number, written as it stands in docstrings."""

    symbol: str


Celsius = Annotated[float, Unit("°C")]
Fraction = Annotated[float, Unit("1")]
Gram = Annotated[float, Unit("g")]
JoulePerKelvin = Annotated[float, Unit("J/K")]
JoulePerKg = Annotated[float, Unit("J/kg")]
JoulePerKgK = Annotated[float, Unit("J/(kg·K)")]
KgPerM3 = Annotated[float, Unit("kg/m³")]
Kilogram = Annotated[float, Unit("kg")]
Litre = Annotated[float, Unit("L")]
Metre = Annotated[float, Unit("m")]
Minute = Annotated[float, Unit("min")]
Pascal = Annotated[float, Unit("Pa")]
PascalSecond = Annotated[float, Unit("Pa·s")]
Percent = Annotated[float, Unit("%")]
PerSecond = Annotated[float, Unit("1/s")]
Second = Annotated[float, Unit("s")]
SquareMetre = Annotated[float, Unit("m²")]
Watt = Annotated[float, Unit("W")]
WattPerKelvin = Annotated[float, Unit("W/K")]
WattPerM2K = Annotated[float, Unit("W/(m²·K)")]
WattPerMK = Annotated[float, Unit("W/(m·K)")]
