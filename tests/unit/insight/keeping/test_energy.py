"""Hours of keeping close their books: every joule and gram that a run of looks moves is accounted for."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.keeping.heaters import heater_of
from temperbench.insight.keeping.run import keep
from temperbench.insight.keeping.table import KeepTable
from temperbench.kitchen.bowl_layout import C_POWER, MASS, TOP, WALL_AIR, WALL_BENCH, WALL_HEAT
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.seeds import Seed
from temperbench.matter.crystals import CP, FAT, H_5, PARCEL
from unit.insight.keeping.cases import asked, drawn, situation


class Ledger(Bowls):
    """Bowls that lose nothing to the room and write down what each act should have moved. [J]"""

    expected: Array
    gun_w: float

    @classmethod
    def of(cls, bowls: Bowls, gun_w: float) -> Ledger:
        """Take bowls over."""
        new = cls.__new__(cls)
        new.__dict__.update(bowls.__dict__)
        new.members.rows[:, [WALL_AIR, WALL_BENCH, TOP]] = 0.0
        new.expected, new.gun_w = np.zeros(len(bowls.members)), gun_w
        return new

    def heat(self) -> Array:
        """Enthalpy of chocolate and wall. [J]"""
        return np.asarray(self.chocolate_heat() + self.members.rows[:, WALL_HEAT] * self.y[:, self.zones * PARCEL])

    def phase(self, u: Array, seconds: Array | float, **what: Any) -> None:
        """A phase brings the gun's heat, or nothing."""
        self.expected += u[C_POWER] * self.gun_w * np.asarray(seconds)
        super().phase(u, seconds, **what)

    def add(self, kilograms: Array | float, celsius: Array | float, seed: Seed | None = None) -> None:
        """What is added brings its own heat."""
        rows = self.members.rows
        crystals = 0.0 if seed is None or seed.form == "melt" else seed.solid
        assert crystals is not None
        self.expected += kilograms * (rows[:, CP] * celsius - rows[:, FAT] * rows[:, H_5] * crystals)
        super().add(kilograms, celsius, seed)

    def take_out(self, kilograms: float) -> None:
        """What is taken out takes its share along."""
        self.expected -= self.chocolate_heat() / self.members.rows[:, MASS] * kilograms
        super().take_out(kilograms)


@pytest.mark.parametrize("refill", ["melted", "in-temper"])
def test_two_hours_of_use_returns_refills_and_warming_close_to_a_millionth(refill: str) -> None:
    """Enthalpy at the end is that at the start, with all that was brought and taken, within 1e-6 of what moved."""
    ask = asked(minutes=120.0, warm_with="heat-gun", leaves_g_h=900.0, returns_share=0.3, refill_g=900.0, refill=refill)
    full, _, at = situation(ask)
    gun_w = number("keep.gun_w") * number("keep.gun_share")
    bowls = Ledger.of(drawn(full, 6), gun_w)
    bowls.members.noise_c[:] = 5.0  # an eye: warmed by the table alone
    heater = heater_of(full, situation(ask)[1], 6)
    table = KeepTable(32.5, 33.4, 33.7, (33.1, 32.7, 32.2), (0.0, 5.0, 10.0), (10.0, 15.0, 20.0))
    before, mass = bowls.heat(), bowls.members.rows[:, MASS].copy()
    kept = keep(bowls, heater, table, full, 120.0, 10.0, at.scorch_c, np.random.default_rng(4))
    moved = np.abs(bowls.expected) + 0.9 * 1700.0 * 30.0
    assert float(np.max(np.abs(bowls.heat() - before - bowls.expected) / moved)) < 1e-6
    added = np.sum([look.add_g for look in kept.looks], axis=0) / 1000.0
    assert np.allclose(bowls.members.rows[:, MASS], mass - 1.8 * 0.7 + added, rtol=1e-9)
    assert float(added.max()) > 0.1
