"""What a cook does to a live bowl, done to every particle's bowl: oven, spatula, bath, cabinet, kettle, slab, seeds.

What a bath, a cabinet or a slab passes on is uncertain too. A run of any method but the microwave's carries it as axes
of its particles, so that readings teach of it; a microwave run that happens to stand over a bath takes the middle.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from temperbench.foundation.evidence import array, number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import Spread, spread_of
from temperbench.insight.likelihood import normal_cdf
from temperbench.insight.live import LEFT, SCRAPING, Happening
from temperbench.insight.setup_job import Known
from temperbench.kitchen.bowl_layout import MASS
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.kettle import Thermostat
from temperbench.kitchen.members import triangular
from temperbench.kitchen.outside import AROUND, Outside, cabinet, kettle_jacket, steam, water_bath
from temperbench.kitchen.seeds import Seed
from temperbench.kitchen.slab import Slabs, SlabSetup, slab_from, slab_spreads
from temperbench.kitchen.surfaces import bench
from temperbench.kitchen.vessels import bowl_from

__all__ = ["Doings"]

_SEEDS = {
    "buttons": Seed.buttons, "block": Seed.block, "butter-crystals": Seed.butter_crystals,
    "ripened-butter": Seed.ripened_butter, "melted": Seed.melted,
}  # fmt: skip


class Doings:
    """The acts of one job's kitchen, and the figures they are uncertain by."""

    def __init__(self, known: Known) -> None:
        """Take the job's kitchen."""
        self.known = known
        self.slab: SlabSetup | None = None
        self.spreads: dict[str, Spread] = {name: spread_of(row) for name, row in AROUND.items()}
        if known.job.method == "tabling":
            job = known.job
            mm = None if job.slab_mm is None else job.slab_mm / 1000.0
            self.slab = slab_from(job.slab, mm, job.slab_m2, job.slab_c, known.room_c)
            self.spreads |= {f"slab.{name}": s for name, s in slab_spreads(self.slab).items()}
        self.drawn = known.job.method != "microwave"

    @property
    def axes(self) -> int:
        """How many axes of a particle are these figures'."""
        return len(self.spreads) if self.drawn else 0

    def figures(self, z: Array, n: int, factors: Mapping[str, float] | None = None) -> dict[str, Array]:
        """Return the figures of ``n`` particles from their axes, standard normal (axes, n); ``factors`` change some."""
        middle = {name: np.full(n, s.mid) for name, s in self.spreads.items()}
        if self.drawn:
            middle = {k: triangular(normal_cdf(z[i]), s) for i, (k, s) in enumerate(self.spreads.items())}
        return {name: v * (factors or {}).get(name, 1.0) for name, v in middle.items()}

    def act(self, bowls: Bowls, h: Happening, figures: Mapping[str, Array]) -> Array | None:
        """Do what happened; return what was shown on the way where the happening tells a reading of it. [°C]"""
        seconds = float(h.seconds or 0.0)
        if h.kind == "tabled":
            return self._table(bowls, h, figures)
        if self.known.job.method == "kettle" and h.kind in ("stir", "stand"):
            self._in_jacket(bowls, seconds, figures, stirred=h.kind == "stir")
        elif h.kind == "burst":
            if bowls.block.any():
                bowls.take_block_out()
            bowls.burst(seconds, self.known.job.level)
        elif h.kind == "stir":
            bowls.stir(seconds, shear=number("slab.shear") if h.level == SCRAPING else None)
        elif h.kind == "stand":
            bowls.stand(seconds)
        elif h.kind == "added":
            _add(bowls, h)
        elif h.kind == "block out":
            bowls.take_block_out()
        elif h.kind == "taken":
            bowls.take_out(float(h.grams or 0.0) / 1000.0)
        elif h.kind == "moved":
            _move(bowls, h, self.known.job.method == "microwave")
        else:
            self.stand_in(bowls, h, figures)
        if bowls.beside.shape[1] and self.slab is not None:
            slabs = self._slabs(bowls, figures)
            slabs.rest(seconds)
            bowls.beside = slabs.celsius
        return None

    def around(self, bowls: Bowls, kind: str, celsius: float, figures: Mapping[str, Array]) -> Outside:
        """Return what a bath or a cabinet of a temperature is to these bowls."""
        members, material = bowls.members, self.known.bowl.material
        if kind == "cabinet":
            return cabinet(members, celsius, False, figures, bed=not bowls.stirred)
        if celsius >= number("live.steam_from"):
            return steam(members, material, celsius, figures)
        return water_bath(members, material, celsius, self.known.job.bath_l, figures)

    def stand_in(self, bowls: Bowls, h: Happening, figures: Mapping[str, Array]) -> None:
        """Put the bowls where they were for as long as they were there, and take them out again."""
        seconds = float(h.seconds or 0.0)
        if h.kind == "kettle":
            self._hold(
                bowls, seconds, float(h.celsius if h.celsius is not None else number("live.kettle_set")), figures
            )
            return
        usual = number("live.cabinet_usual" if h.kind == "cabinet" else "live.bath_usual")
        celsius = usual if h.celsius is None else h.celsius
        bowls.stand_in(self.around(bowls, h.kind, celsius, figures))
        if h.kind == "cabinet" or h.level == LEFT:
            bowls.stand(seconds)
        else:
            cold = celsius < float(np.median(bowls.members.air_c))
            bowls.stir(seconds, shear=number("slab.shear") if cold else None)
        bowls.stand_on_bench()

    def _hold(self, bowls: Bowls, seconds: float, set_c: float, figures: Mapping[str, Array]) -> None:
        job = self.known.job
        usual = number("method.kettle.watts_per_kg") * job.grams / 1000.0
        power = usual if job.kettle_w is None else job.kettle_w
        limit = set_c + number("live.kettle_above") if job.kettle_wall_c is None else job.kettle_wall_c
        bowls.stand_in(self._jacket(bowls, figures))
        Thermostat(set_c, power, limit, step=number("live.kettle_step")).run(bowls, seconds)
        self._leave_jacket(bowls)

    def _jacket(self, bowls: Bowls, figures: Mapping[str, Array]) -> Outside:
        """The jacket as the last act left it, or as warm as the kettle's wall."""
        job = self.known.job
        litres = number("method.kettle.room_above") * job.grams / 1000.0 if job.kettle_l is None else job.kettle_l
        celsius = bowls.beside[:, 0] if bowls.beside.shape[1] else bowls.wall()
        return kettle_jacket(bowls.members, litres, celsius, figures=figures)

    def _leave_jacket(self, bowls: Bowls) -> None:
        bowls.beside = bowls.outside_c()[:, None]
        bowls.stand_on_bench()

    def _in_jacket(self, bowls: Bowls, seconds: float, figures: Mapping[str, Array], stirred: bool) -> None:
        """Stir or stand in a kettle whose heater is off."""
        bowls.stand_in(self._jacket(bowls, figures))
        (bowls.stir if stirred else bowls.stand)(seconds)
        self._leave_jacket(bowls)

    def _slabs(self, bowls: Bowls, figures: Mapping[str, Array]) -> Slabs:
        assert self.slab is not None, "asked only of a job with a slab"
        own = {name[5:]: v for name, v in figures.items() if name.startswith("slab.")}
        slabs = Slabs(bench(self.slab.material), own, bowls.members.air_c)
        if bowls.beside.shape[1]:
            slabs.celsius = bowls.beside.copy()
        return slabs

    def _table(self, bowls: Bowls, h: Happening, figures: Mapping[str, Array]) -> Array | None:
        """Pour, spread, keep moving, scrape back; without a slab of its own the job takes it as stirred in the bowl."""
        spread, kept = float(h.seconds or 0.0), 60.0 * float(h.minutes or 0.0)
        if self.slab is None:
            bowls.stir(spread + kept, shear=number("slab.shear"))
            return None
        share = np.minimum(float(h.grams or 0.0) / 1000.0 / bowls.members.rows[:, MASS], number("live.poured_most"))
        poured, slabs = bowls.pour_out(share), self._slabs(bowls, figures)
        slabs.work_poured(poured, spread)
        slabs.work_poured(poured, kept, gathered=True)
        bowls.stand(spread + kept)
        shown = poured.reading()
        bowls.pour_back(poured)
        bowls.beside = slabs.celsius
        return None if h.celsius is None else shown


def _add(bowls: Bowls, h: Happening) -> None:
    kind = h.seed or ("melted" if h.material == "melted" else "buttons")
    place = list(_SEEDS).index(kind)
    usual = number("keep.warm_chocolate_c") if kind == "melted" else array("live.added_usual")[place]
    bowls.add(float(h.grams or 0.0) / 1000.0, usual if h.celsius is None else h.celsius, _SEEDS[kind]())


def _move(bowls: Bowls, h: Happening, heated: bool) -> None:
    room = Spread.exact(float(np.median(bowls.members.air_c)))
    start = room.mid if h.celsius is None else h.celsius
    left_g = 1000.0 * float(np.median(bowls.members.rows[:, MASS]))
    other = bowl_from(h.material, h.grams, None, start, room_c=room, chocolate_g=left_g, microwave=heated)
    bowls.move_to(other.heat.mid, start)
