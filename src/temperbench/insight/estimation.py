"""What the happenings say of a bowl: a particle filter over everything uncertain.

Each particle is one whole kitchen: a point of the unit cube of `temperbench.kitchen.members.from_cube`, by way of
standard normal axes, and the state that the happenings brought its bowl to. Happenings that act advance every bowl;
those that tell weigh them. How few particles that carry the weight become many again is the business of
`temperbench.insight.particles`: moved points are re-run through the whole history, so that they stay draws from the
posterior. Everything random comes from the seed and the number of tellings, so that a run replays bit for bit. Settled
particles are taken into use by the next act, never in between: what is seen of a bowl follows from what happened to it
alone, whether or not there was time to settle.
"""

from __future__ import annotations

import copy
import dataclasses
import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.insight.doings import Doings
from temperbench.insight.likelihood import error_of, figure_of, normal_cdf, reading_tail, smear_tail, told_of
from temperbench.insight.live import Happening
from temperbench.insight.particles import Particles, effective, systematic
from temperbench.insight.setup_job import Known, thermometer_figures
from temperbench.insight.telling import Telling
from temperbench.kitchen.bowl_layout import PARAMETERS, parameter
from temperbench.kitchen.bowl_state import PER_MEMBER
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import Members, dimensions, from_cube
from temperbench.kitchen.thermometers import KINDS
from temperbench.matter.composition import full_melt

__all__ = ["ACTS", "TELLS", "BowlFilter", "Step"]

ACTS = (
    "burst", "stir", "stand", "added", "taken", "moved", "block out", "melted", "bath", "cabinet", "kettle", "tabled",
)  # fmt: skip
TELLS = ("reading", "lumps", "flow", "test")


@dataclass(frozen=True)
class Step:
    """One folded happening with the standing time before it. [s]"""

    stand_s: float
    happening: Happening
    since_s: float = 0.0  # since a thermometer last showed something


class BowlFilter:
    """Particles of one bowl. `fold` takes one happening; `settle` moves the particles when that is due."""

    def __init__(self, known: Known, particles: int | None = None, seed: int = 1) -> None:
        """Start from the prior of the job."""
        self.known, self.seed = known, seed
        self.count = int(number("live.particles")) if particles is None else particles
        self.names = list(dimensions(known.setup))
        self.doings = Doings(known)
        self.particles: Particles[Bowls] = Particles(
            self, len(self.names) + len(KINDS) + self.doings.axes, self.count, seed
        )
        self.bowls = Bowls(self._members(self.z))
        self.steps: list[Step] = []
        self.tail = 1.0  # of the last reading or setting test
        self._settled: tuple[Particles[Bowls], Bowls] | None = None

    @property
    def z(self) -> Array:
        """Points of the particles, (axes, n)."""
        return self.particles.z

    @property
    def say(self) -> Telling:
        """How the bowl is told: by what is read, as soon as anything was read, or by look and feel."""
        return Telling(self.known.say.reads or any(step.happening.kind == "reading" for step in self.steps))

    @property
    def weights(self) -> Array:
        """Weights of the particles, summing to one."""
        return self.particles.weights

    @property
    def log_evidence(self) -> float:
        """Logarithm of how likely everything told was before it was told."""
        return self.particles.log_evidence

    def _members(self, z: Array) -> Members:
        return from_cube(self.known.setup, normal_cdf(z[: len(self.names)]))

    def _biases(self, z: Array, kind: str) -> Array:
        """Bias of a thermometer kind per particle: its own axis, but the job's own thermometer's for that one."""
        own = kind == self.known.thermometer.kind
        spread = self.known.setup.bias_c if own else thermometer_figures(kind).bias
        u = normal_cdf(z[len(self.names) + KINDS.index(kind)])
        return np.asarray(_triangle(u, spread.low, spread.mid, spread.high))

    def _figures(self, z: Array, factors: dict[str, float] | None = None) -> dict[str, Array]:
        """What bath, cabinet, kettle and slab are to each particle."""
        return self.doings.figures(z[len(self.names) + len(KINDS) :], z.shape[1], factors)

    def fold(self, happening: Happening, stand_s: float = 0.0) -> None:
        """Take one happening, after ``stand_s`` seconds in which nothing was done."""
        if happening.kind in ACTS:
            self.adopt()
        self._settled = None  # if a telling came before it was taken into use
        step = Step(stand_s, happening, self._since(stand_s, happening))
        found = self._apply(self.bowls, self.z, step)
        self.steps = [*self.steps, step]
        if found is None:
            return
        told, figure = found
        if happening.kind == "reading":
            noise = error_of(happening, self._kind(happening))
            self.tail = reading_tail(_celsius(happening), figure, noise, self.weights)
        if happening.kind == "test":
            self.tail = smear_tail(happening, figure, error_of(happening, ""), self.weights)
        self.particles.tell(told, figure)
        if effective(self.weights) < number("live.too_few") * self.count:
            self.adopt()

    def settle(self) -> None:
        """Prepare moved particles if few carry the weight, for the next act. May run while the oven does."""
        if self.particles.due and self._settled is None:
            particles = copy.copy(self.particles)
            bowls = particles.settle(self.bowls)
            self._settled = particles, bowls

    def adopt(self) -> None:
        """Take settled particles into use, settling them now if that is due."""
        self.settle()
        if self._settled is not None:
            particles, bowls = self._settled  # branches may share them
            self.particles, self.bowls, self._settled = copy.copy(particles), bowls.copy(), None
            self.particles.model = self

    def use(self, ahead: BowlFilter) -> None:
        """Take over what a branch has settled, if nothing has happened since it was branched off."""
        if self.steps is ahead.steps and self._settled is None:
            self._settled = ahead._settled

    def branch(self) -> BowlFilter:
        """Return an independent copy, to come back to."""
        other = copy.copy(self)
        other.particles, other.bowls = copy.copy(self.particles), self.bowls.copy()
        other.particles.model = other
        return other

    # What the particles ask of a model

    def again(self, z: Array) -> tuple[Bowls, Array, Array]:
        """Run other points through the whole history: bowls, log-likelihoods, and the figures they are about."""
        return self._again(z, self._members(z))

    def only(self, state: Bowls, which: np.ndarray) -> Bowls:
        """Return the bowls at these places."""
        return state.only(which)

    def mixed(self, taken: np.ndarray, one: Bowls, other: Bowls) -> Bowls:
        """Return the bowls of ``one`` where taken, of ``other`` elsewhere."""
        return _either(taken, one, other)

    def errors(self) -> Array:
        """Return how well each telling judged its figure."""
        return np.array([error_of(h, self._kind(h)) for h in self._tellings()])

    def guessed(self, figures: Array, off: Array) -> Array:
        """Return the log-likelihood of each telling if its figure were this, known to within ``off``."""
        errors = np.hypot(self.errors(), off)
        each = zip(self._tellings(), figures, errors, strict=True)
        return np.array([told_of(h, figure, self.bowls, error, guessed=True) for h, figure, error in each])

    def _tellings(self) -> list[Happening]:
        return [told for s in self.steps if (told := self._telling(s.happening)) is not None]

    def _telling(self, h: Happening) -> Happening | None:
        """Return a happening that tells; what a layer read when it was scraped off its slab is a reading."""
        if h.kind == "tabled" and h.celsius is not None and self.doings.slab is not None:
            return Happening(h.id, "reading", h.pressed_ms, celsius=h.celsius, thermometer=h.thermometer)
        return h if h.kind in TELLS else None

    def _again(self, z: Array, members: Members, factors: dict[str, float] | None = None) -> tuple[Bowls, Array, Array]:
        bowls, told, judged = Bowls(members), [], []
        for step in self.steps:
            found = self._apply(bowls, z, step, factors)
            if found is not None:
                told.append(found[0])
                judged.append(found[1])
        shape = (len(told), z.shape[1])
        return bowls, np.array(told).reshape(shape), np.array(judged).reshape(shape)

    def _kind(self, h: Happening) -> str:
        return h.thermometer or self.known.thermometer.kind

    def replay(self, z: Array, changed: dict[str, float] | None = None) -> tuple[Array, Array]:
        """Return the log-likelihood of each telling at other points, and the figure it is about.

        ``changed`` multiplies figures of the parameter row or of the surroundings, to try explanations.
        """
        members = self._members(z)
        for name, factor in (changed or {}).items():
            if name in PARAMETERS:
                members.rows[:, parameter(name)] *= factor
        _, told, figures = self._again(z, members, changed)
        return told, figures

    def read_off(self, told: Array, figures: Array, off_c: float) -> Array:
        """Return what `replay` told as it would be if the job's own thermometer read so much higher."""
        changed = told.copy()
        for n, h in enumerate(self._tellings()):
            if h.kind == "reading" and self._kind(h) == self.known.thermometer.kind:
                off = told_of(h, figures[n] + off_c, self.bowls, error_of(h, self._kind(h)))
                changed[n] = np.where(np.isfinite(told[n]), off, told[n])
        return changed

    def _apply(
        self, bowls: Bowls, z: Array, step: Step, factors: dict[str, float] | None = None
    ) -> tuple[Array, Array] | None:
        """Let bowls live one step; of a telling, return its log-likelihood and the figure it is about."""
        since_dip = min(step.stand_s, _waited(step.happening))
        if step.stand_s > since_dip:
            bowls.stand(step.stand_s - since_dip)
        told_by, layer = self._telling(step.happening), None
        if step.happening.kind not in TELLS:
            layer = self._do(bowls, z, step.happening, factors)
        if told_by is None:
            return None
        h, kind = told_by, self._kind(told_by)
        shown = self._show(bowls, kind, step.since_s, layer) + self._biases(z, kind) if h.kind == "reading" else None
        figure = figure_of(h, bowls, shown)
        told = told_of(h, figure, bowls, error_of(h, kind))
        if since_dip > 0.0:
            bowls.stand(since_dip)
        return np.where(bowls.bad > 0, -np.inf, told), figure

    def _do(self, bowls: Bowls, z: Array, h: Happening, factors: dict[str, float] | None) -> Array | None:
        """Let bowls live an act; return what lay on the slab when it was scraped back, where there was one. [°C]"""
        if h.kind != "melted":
            return self.doings.act(bowls, h, self._figures(z, factors))
        if h.grams is not None and h.grams < self.known.job.grams:
            bowls.pour_out(1.0 - h.grams / self.known.job.grams)
        kind = self._kind(h)
        skin = thermometer_figures(kind).skin
        usual = full_melt(self.known.chocolate.kind)[0]
        told = (usual if h.celsius is None else h.celsius) - self._biases(z, kind)
        bowls.melted_at((told - skin * bowls.members.air_c) / (1.0 - skin))  # its noise left out
        return None

    def _since(self, stand_s: float, happening: Happening) -> float:
        """Seconds from the last telling to this one: a telling takes no time, an act as long as it lasts."""
        since = stand_s + _lasts(happening)
        for step in reversed(self.steps):
            told = self._telling(step.happening)
            if told is not None and told.kind == "reading":
                break
            since += step.stand_s + _lasts(step.happening)
        return since

    def _show(self, bowls: Bowls, kind: str, since_s: float, layer: Array | None = None) -> Array:
        """Let a thermometer follow the bowls, or what lay on their slabs; return what it shows, its bias left out.

        It starts from what it showed last; the longer ago that was, the less of it is left.
        """
        figures = thermometer_figures(kind)
        seen = bowls.reading() if layer is None else layer
        seen = seen - figures.skin * (seen - bowls.members.air_c)
        kept = number("live.remembers")
        left = figures.lag_left * math.exp(-max(since_s - kept, 0.0) / kept)
        bowls.shown = seen + left * (bowls.shown - seen)
        return bowls.shown

    def _chosen(self) -> np.ndarray:
        """Places of some particles drawn by weight."""
        rng = np.random.default_rng([self.seed, len(self.steps), 2])
        chosen = systematic(self.weights, rng)
        few = min(int(number("live.advisers")), self.count)
        return chosen[np.linspace(0, self.count - 1, few).astype(np.intp)]

    def advisers(self) -> Bowls:
        """Return some particles drawn by weight, all alike in weight, to try moves on."""
        return self.bowls.only(self._chosen())

    def adviser_figures(self) -> dict[str, Array]:
        """Return what bath, cabinet, kettle and slab are to the advisers."""
        return self._figures(self.z[:, self._chosen()])

    def quantiles(self, values: Array, points: tuple[float, ...] = (0.05, 0.5, 0.95)) -> tuple[float, ...]:
        """Return weighted quantiles of a figure of every particle."""
        order = np.argsort(values)
        heap = np.cumsum(self.weights[order])
        places = np.minimum(np.searchsorted(heap, np.array(points)), len(values) - 1)
        return tuple(float(v) for v in values[order][places])

    def figure(self, name: str) -> Array:
        """Return a figure of the parameter row of every particle, such as ``power`` in W."""
        return np.asarray(self.bowls.members.rows[:, parameter(name)])


def _triangle(u: Array, low: float, mid: float, high: float) -> Array:
    cut = (mid - low) / (high - low) if high > low else 0.5
    up = low + np.sqrt(np.clip(u * (high - low) * (mid - low), 0.0, None))
    down = high - np.sqrt(np.clip((1.0 - u) * (high - low) * (high - mid), 0.0, None))
    return np.where(u < cut, up, down)


def _lasts(h: Happening) -> float:
    """Seconds that a happening takes: a telling none, the bowl stood meanwhile."""
    return 0.0 if h.kind in TELLS else float(h.seconds or 0.0) + 60.0 * float(h.minutes or 0.0)


def _waited(h: Happening) -> float:
    """Seconds before a setting test was told in which the bowl stood on and its smear lay on paper or knife."""
    return float(h.seconds or 0.0) + 60.0 * float(h.minutes or 0.0) if h.kind == "test" else 0.0


def _celsius(h: Happening) -> float:
    return math.nan if h.celsius is None else h.celsius


def _either(taken: Array, one: Bowls, other: Bowls) -> Bowls:
    """Members of ``one`` where taken, of ``other`` elsewhere."""
    mixed = other.copy()
    for name in PER_MEMBER:
        a, b = getattr(one, name), getattr(other, name)
        setattr(mixed, name, np.where(taken[:, None] if a.ndim == 2 else taken, a, b))
    arrays: dict[str, Any] = {}
    for name, value in one.members.__dict__.items():
        if isinstance(value, np.ndarray):
            shape = (len(taken),) + (1,) * (value.ndim - 1)
            arrays[name] = np.where(taken.reshape(shape), value, getattr(other.members, name))
    mixed.members = dataclasses.replace(other.members, **arrays)
    return mixed
