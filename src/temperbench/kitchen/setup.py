"""What is known of one bowl before it starts, as spreads: the input of the ensemble."""

from __future__ import annotations

from dataclasses import dataclass

from temperbench.foundation.quantities import Spread

__all__ = ["STOCKS", "Setup"]

STOCKS = ("buttons", "block", "set-bowl", "part-melted", "melted")


@dataclass(frozen=True)
class Setup:
    """One bowl in one oven in one kitchen; every figure with its spread. SI and °C."""

    fat: Spread  # kg per kg chocolate
    milk_share: Spread  # kg milk fat, and oil of nuts or plants, per kg fat
    hardness: Spread  # soft -1, medium 0, hard +1
    growth_factor: Spread  # inhibition of growth by milk fat, 1 for dark
    mass_kg: float
    stock: str  # one of STOCKS
    start_c: Spread
    air_c: Spread
    delivered_w: Spread  # power the oven gives 1000 g of water
    coupling: Spread  # share of it that this much chocolate takes
    drift: Spread  # share of the power lost when the oven is hot
    warmth: Spread  # of the oven at the start: 0 cold, 1 long used
    cycle_s: Spread  # on-and-off cycle below full power; 0 when there is none
    wall_share: Spread  # share of the power that the bowl's wall takes
    wall_heat: Spread  # J/K
    wall_c: Spread
    inside_m2: Spread  # wetted wall
    top_m2: float  # free surface of the chocolate
    bias_c: Spread  # thermometer
    noise_c: float
    lag_left: float = 0.0  # share of a step the thermometer has not followed yet when it is read
    skin: float = 0.0  # how far what it reads lies below the inside, per kelvin above the room
    cp: Spread | None = None  # specific heat where it is not that of chocolate, J/(kg·K)
