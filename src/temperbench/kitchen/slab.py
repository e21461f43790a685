"""Chocolate worked on a slab: a layer kept mixed by scraper and palette knife, the stone warming below, the room.

The chocolate is moved over the whole slab, so that the stone is even along its face: per square metre of slab there is
one mixed parcel on a stack of cells, touching for the share of time and face at which it lies spread. What the slab
took up stays in it, so that a second round meets a warmer stone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.errors import within
from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.foundation.units import Celsius, Metre, Second, SquareMetre
from temperbench.kitchen.bowl_layout import MASS
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.chain import PASSIVE, Chain, chain_enthalpy, graded_cells, run_chain, series_links
from temperbench.kitchen.members import latin, triangular
from temperbench.kitchen.surfaces import bench, scraped_film
from temperbench.matter.crystals import CP, PARCEL, TEMP
from temperbench.matter.thermal import Bulk, chocolate_bulk

__all__ = ["SLABS", "SlabSetup", "Slabs", "draw_slabs", "layer_on_slab", "middle_slabs", "slab_from", "slab_spreads"]

SLABS = ("marble", "granite", "steel")

_NO_PARCEL = np.empty((0, 0, 0))


@dataclass(frozen=True)
class SlabSetup:
    """A slab as known: what it is of, with the spread of its size and temperature. SI and °C."""

    material: str
    thickness_m: Spread
    area_m2: Spread
    start_c: Spread
    defaults_used: tuple[str, ...] = ()


def slab_from(
    material: str, thickness: Metre | None, area: SquareMetre | None, start: Celsius | None, room: Spread
) -> SlabSetup:
    """Return the set-up of a slab; what is not given takes the usual range.

    Parameters
    ----------
    material
        One of `SLABS`.
    thickness
        Thickness. [m]
    area
        Face that can be worked on. [m²]
    start
        Temperature of the slab before the first round. [°C]
    room
        Spread of the room temperature, °C.

    Returns
    -------
        The set-up, with what was taken for granted in words.
    """
    kind = "steel" if material == "steel" else "stone"
    defaults: list[str] = []
    known = number("slab.known")
    thick, face = spread_of(f"slab.thickness.{kind}"), spread_of("slab.area")
    if thickness is None:
        defaults.append(f"Slab: {material}, {1000 * thick.mid:g} mm thick.")
    else:
        thick = Spread(thickness * (1.0 - known), thickness, thickness * (1.0 + known))
    if area is None:
        defaults.append(f"Slab: {face.mid:g} m² to work on.")
    else:
        face = Spread(area * (1.0 - known), area, area * (1.0 + known))
    if start is None:
        below = spread_of("slab.start_below_room")
        at = Spread(room.low - below.high, room.mid - below.mid, room.high - below.low)
        defaults.append(f"Slab at the start: {at.mid:.1f} °C ({at.low:.0f} to {at.high:.0f}).")
    else:
        off = number("slab.start_known")
        at = Spread(start - off, start, start + off)
    return SlabSetup(material, thick, face, at, tuple(defaults))


def slab_spreads(setup: SlabSetup) -> dict[str, Spread]:
    """Return every figure of a slab and of working on it that is drawn."""
    return {
        "thickness": setup.thickness_m, "area": setup.area_m2, "start": setup.start_c,
        "layer": spread_of("slab.layer"), "renewal": spread_of("slab.renewal"),
        "spread_share": spread_of("slab.spread_share"), "gathered_share": spread_of("slab.gathered_share"),
        "shear": spread_of("slab.shear"), "support": spread_of("slab.support"), "air_film": spread_of("bowl.film.top"),
    }  # fmt: skip


def draw_slabs(setup: SlabSetup, air_c: Array, rng: np.random.Generator) -> Slabs:
    """Draw one slab for each member of an ensemble whose rooms have these temperatures (m,)."""
    spreads = slab_spreads(setup)
    cube = latin(rng, len(air_c), len(spreads))
    return Slabs(bench(setup.material), {k: triangular(cube[i], s) for i, (k, s) in enumerate(spreads.items())}, air_c)


def middle_slabs(setup: SlabSetup, air_c: Array) -> Slabs:
    """Return slabs with the middle value of everything, for rooms of these temperatures (m,)."""
    return Slabs(bench(setup.material), {k: np.full(len(air_c), s.mid) for k, s in slab_spreads(setup).items()}, air_c)


class Slabs:
    """One slab for each member, and what it has taken up so far. Acts change it in place; `copy` branches."""

    def __init__(self, stone: Bulk, figures: Mapping[str, Array], air_c: Array) -> None:
        """Start all slabs even at their own temperature; ``figures`` are those of `slab_spreads`, each (m,)."""
        self.stone = stone
        self.figures = dict(figures)
        self.air_c = air_c
        cells = int(number("slab.cells"))
        first = number("slab.first_cell")
        self.widths = np.stack([graded_cells(float(t), first, cells) for t in self.figures["thickness"]])
        self.celsius = np.repeat(self.figures["start"][:, None], cells, axis=1)
        self.pace = np.full(len(air_c), number("slab.first_step"))  # step with which the next act begins
        self.lost_j = np.zeros(len(air_c))  # given to room and support, by stone and chocolate on it

    def __len__(self) -> int:
        """Return the number of members."""
        return len(self.air_c)

    def copy(self) -> Slabs:
        """Return an independent branch."""
        other = Slabs.__new__(Slabs)
        other.__dict__.update(self.__dict__)
        other.celsius, other.lost_j, other.pace = self.celsius.copy(), self.lost_j.copy(), self.pace.copy()
        return other

    def layer_m(self, kilograms: Array) -> Array:
        """Return how thick so much chocolate lies when spread (m,): as intended, or more if the slab is too small."""
        least = kilograms / (chocolate_bulk().density * number("slab.fill") * self.figures["area"])
        return np.asarray(np.maximum(self.figures["layer"], least))

    def heat_j_k(self) -> Array:
        """Return the heat capacity of each slab (m,). [J/K]"""
        per_area = self.stone.density * self.stone.specific_heat * self.figures["thickness"]
        return np.asarray(per_area * self.figures["area"])

    def mean_c(self) -> Array:
        """Return the mean temperature of each slab (m,). [°C]"""
        return np.asarray((self.celsius * self.widths).sum(axis=1) / self.widths.sum(axis=1))

    def surface_c(self) -> Array:
        """Return the temperature of the face of each slab (m,), as a hand or an infrared thermometer meets it. [°C]"""
        return self.celsius[:, 0].copy()

    def work(
        self, y: Array, rows: Array, curves: Array, kilograms: Array, seconds: Array | float, *, gathered: bool = False
    ) -> None:
        """Work chocolate on the slabs for each member's own seconds, in place.

        ``y`` (m, 6) are the figures of the chocolate as one mass, ``rows`` and ``curves`` those of its members.
        Spread and gathered in turn, or, with ``gathered``, kept together and turned over so that it hardly cools.
        """
        f = self.figures
        covered = kilograms / (chocolate_bulk().density * self.layer_m(kilograms)) / f["area"]
        touching = covered * f["gathered_share" if gathered else "spread_share"]
        film = scraped_film(chocolate_bulk().effusivity, 1.0) / np.sqrt(f["renewal"])  # as the root of the passes
        chain = self._chain(rows, curves, kilograms, touching, film, covered)
        state = np.zeros((len(self), chain.heat.shape[1], PARCEL))
        state[:, 0] = y
        state[:, 1:, TEMP] = self.celsius
        self._run(chain, state, seconds)
        y[:] = state[:, 0]
        self.celsius = np.ascontiguousarray(state[:, 1:, TEMP])

    def work_poured(self, poured: Bowls, seconds: Array | float, *, gathered: bool = False) -> None:
        """Work what was poured out of bowls, in place: it is one even mass before and after."""
        p = poured.members
        y = poured.y[:, :PARCEL].copy()
        self.work(y, p.rows, p.curves, p.rows[:, MASS], seconds, gathered=gathered)
        poured.y[:, : poured.zones * PARCEL] = np.tile(y, poured.zones)
        poured.y[:, poured.zones * PARCEL] = y[:, TEMP]

    def rest(self, seconds: Array | float) -> None:
        """Leave the slabs empty for each member's own seconds: heat goes on inwards and to the room."""
        none = np.zeros(len(self))
        chain = self._chain(_NO_PARCEL, _NO_PARCEL, None, none, none, none)
        state = chain.start(self.celsius)
        self._run(chain, state, seconds)
        self.celsius = np.ascontiguousarray(state[:, :, TEMP])

    def _run(self, chain: Chain, state: Array, seconds: Array | float) -> None:
        """Run a chain and book what the room took."""
        given = run_chain(chain, state, seconds, self.air_c[:, None], pace=self.pace)
        self.lost_j = self.lost_j + given.sum(axis=1) * self.figures["area"]

    def _chain(
        self, rows: Array, curves: Array, kilograms: Array | None, touching: Array, film: Array, covered: Array
    ) -> Chain:
        """Cells per square metre of slab: the chocolate on top where there is some, then the stone downwards."""
        f = self.figures
        inside = self.widths / self.stone.conductivity
        heat = self.widths * self.stone.density * self.stone.specific_heat
        link = series_links(inside)
        outside = np.zeros_like(heat)
        outside[:, 0] = f["air_film"] * (1.0 - touching)
        outside[:, -1] += 1.0 / (1.0 / f["support"] + 0.5 * inside[:, -1])
        cells = heat.shape[1]
        if kilograms is None:
            m = len(self)
            return Chain(np.full(cells, PASSIVE), np.empty((m, 0, 0)), np.empty((m, 0, 0, 5)), heat, link, outside,
                         np.zeros((m, cells)))  # fmt: skip
        top = (kilograms * rows[:, CP] / f["area"])[:, None]
        down = touching * film / (1.0 + 0.5 * touching * film * inside[:, 0])
        kind, shear = np.full(cells + 1, PASSIVE), np.zeros((len(self), cells + 1))
        kind[0], shear[:, 0] = 0, f["shear"]
        return Chain(
            kind, rows[:, None], curves[:, None], np.hstack([top, heat]), np.hstack([down[:, None], link]),
            np.hstack([(f["air_film"] * covered)[:, None], outside]), shear,
        )  # fmt: skip

    def enthalpy_j(self, y: Array, rows: Array, curves: Array, kilograms: Array) -> Array:
        """Return the enthalpy of chocolate and slab together (m,), liquid at 0 °C having none. [J]"""
        none = np.zeros(len(self))
        chain = self._chain(rows, curves, kilograms, none + 1.0, none + 1.0, none)
        state = np.zeros((len(self), chain.heat.shape[1], PARCEL))
        state[:, 0], state[:, 1:, TEMP] = y, self.celsius
        return chain_enthalpy(chain, state) * self.figures["area"]


def layer_on_slab(
    *, material: str, layer: Metre, start: Celsius, slab_at: Celsius, time: Second, thickness: Metre,
    layer_heat: float | None = None,
) -> Celsius:  # fmt: skip
    """Temperature of a layer kept mixed in perfect touch with a slab, no crystals forming and nothing lost.

    The numbers behind `temperbench.kitchen.surfaces.tabled_temperature`, for any thickness of slab.

    Parameters
    ----------
    material
        A bench of `temperbench.kitchen.surfaces.BENCHES`.
    layer
        Thickness of the layer. [m]
    start
        Temperature of the chocolate when poured. [°C]
    slab_at
        Temperature of the slab before. [°C]
    time
        Time on the slab. [s]
    thickness
        Thickness of the slab. [m]
    layer_heat
        Density times heat capacity of the layer; that of chocolate when None. [J/(m³·K)]

    Returns
    -------
        Temperature of the chocolate. [°C]
    """
    within("thickness", thickness, 1e-4, 1.0, "m", "give the thickness of the slab")
    stone, mass = bench(material), chocolate_bulk()
    widths = graded_cells(thickness, number("slab.first_cell"), int(number("slab.cells")))
    inside = np.concatenate([[0.0], widths / stone.conductivity])[None]
    own = mass.density * mass.specific_heat if layer_heat is None else layer_heat
    heat = np.concatenate([[layer * own], widths * stone.density * stone.specific_heat])
    cells = len(heat)
    chain = Chain(np.full(cells, PASSIVE), np.empty((1, 0, 0)), np.empty((1, 0, 0, 5)), heat[None],
                  series_links(inside), np.zeros((1, cells)), np.zeros((1, cells)))  # fmt: skip
    y = chain.start(slab_at)
    y[0, 0, TEMP] = start
    run_chain(chain, y, time, slab_at)
    return float(y[0, 0, TEMP])
