"""Unit aliases for typed signatures: the alias is the truth, the bracket in the docstring repeats it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

__all__ = [
    "Celsius", "Effusivity", "Fraction", "Gram", "Hertz", "Joule", "JoulePerKelvin", "JoulePerKg",
    "JoulePerKgK", "Kelvin", "KgPerM3", "Kilogram", "Litre", "Metre", "MetrePerSecond", "Minute", "Pascal",
    "PascalSecond", "PerM3", "PerSecond", "Percent", "Pixel", "Second", "ShapeFactor", "SquareMetre",
    "SquareMetrePerSecond", "Unit", "VoltPerMetre", "Watt", "WattPerKelvin", "WattPerM2", "WattPerM2K",
    "WattPerM3", "WattPerMK",
]  # fmt: skip


@dataclass(frozen=True)
class Unit:
    """The unit of an annotated number, written as it stands in docstrings."""

    symbol: str


Celsius = Annotated[float, Unit("°C")]
Effusivity = Annotated[float, Unit("W·s^½/(m²·K)")]
Fraction = Annotated[float, Unit("1")]
Gram = Annotated[float, Unit("g")]
Hertz = Annotated[float, Unit("Hz")]
Joule = Annotated[float, Unit("J")]
JoulePerKelvin = Annotated[float, Unit("J/K")]
JoulePerKg = Annotated[float, Unit("J/kg")]
JoulePerKgK = Annotated[float, Unit("J/(kg·K)")]
Kelvin = Annotated[float, Unit("K")]
KgPerM3 = Annotated[float, Unit("kg/m³")]
Kilogram = Annotated[float, Unit("kg")]
Litre = Annotated[float, Unit("L")]
Metre = Annotated[float, Unit("m")]
MetrePerSecond = Annotated[float, Unit("m/s")]
Minute = Annotated[float, Unit("min")]
Pascal = Annotated[float, Unit("Pa")]
PascalSecond = Annotated[float, Unit("Pa·s")]
Percent = Annotated[float, Unit("%")]
PerM3 = Annotated[float, Unit("1/m³")]
PerSecond = Annotated[float, Unit("1/s")]
Pixel = Annotated[float, Unit("px")]
Second = Annotated[float, Unit("s")]
ShapeFactor = Annotated[float, Unit("m^(3−m)")]
SquareMetre = Annotated[float, Unit("m²")]
SquareMetrePerSecond = Annotated[float, Unit("m²/s")]
VoltPerMetre = Annotated[float, Unit("V/m")]
Watt = Annotated[float, Unit("W")]
WattPerKelvin = Annotated[float, Unit("W/K")]
WattPerM2 = Annotated[float, Unit("W/m²")]
WattPerM2K = Annotated[float, Unit("W/(m²·K)")]
WattPerM3 = Annotated[float, Unit("W/m³")]
WattPerMK = Annotated[float, Unit("W/(m·K)")]
