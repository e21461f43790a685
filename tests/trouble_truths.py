"""Bowls with a hidden fault, simulated zone by zone with oven and thermometer, and what a cook sees of them.

The trouble-shooter weighs well-mixed parcels on drawn paths; here whole bowls live whole runs, and the eye that judges
them is its own. Faults that no model knows, such as water, show their signs by the rule table itself.
"""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.quantities import spread_of
from temperbench.insight.after_stop import film_times
from temperbench.insight.job import BowlJob
from temperbench.insight.setup_job import know
from temperbench.insight.temperatures import Temperatures, temperatures
from temperbench.insight.trouble.ask import TroubleAsk
from temperbench.insight.trouble.diagnose import pass_minutes_usual
from temperbench.insight.trouble.table import table
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw
from temperbench.kitchen.parcel import parcel_states
from temperbench.matter.crystals import FAT, N5, PARCEL, X5, XU
from temperbench.matter.flow import viscosity_ratio

__all__ = ["BY_MODEL", "BY_RULE", "Case", "answer_check", "make_case"]

BY_MODEL = (
    "overheated", "too-little-seed", "dead-stock", "under-melted", "too-long", "too-cold", "still-warm", "thermometer",
    "warm-room", "scorched", "sound",
)  # fmt: skip
BY_RULE = (
    "uneven", "crust", "water", "lean", "other-fat", "damp-stock", "cold-mould", "heat-trapped", "early-release",
    "warm-store", "oil-migration", "damp", "trapped-air", "young",
)  # fmt: skip
_REPORTED, _SPURIOUS, _EYE = 0.8, 0.02, 0.25


@dataclass(frozen=True)
class Case:
    """One bowl with its hidden cause, and what was told of it."""

    cause: str
    ask: TroubleAsk
    limit_c: float
    pass_min: float


class _Run:
    """One true bowl and its cook."""

    def __init__(self, job: BowlJob, rng: np.random.Generator, bias: float | None) -> None:
        self.rng = rng
        self.known = know(job)
        self.aims: Temperatures = temperatures(self.known)
        members = draw(self.known.setup, 1, rng)
        if bias is not None:
            members = dataclasses.replace(members, bias_c=np.array([bias]))
        self.bowl, self.seconds, self.hottest = Bowls(members, workers=1), 0.0, -100.0

    def read(self) -> float:
        """Take a reading; remember the highest and start the clock from it."""
        shown = float(self.bowl.read_thermometer(self.rng)[0])
        if shown > self.hottest:
            self.hottest, self.seconds = shown, 0.0
        return shown

    def stir(self, seconds: float) -> float:
        self.bowl.stir(seconds)
        self.seconds += seconds
        return self.read()

    def heat_to(self, target: float) -> None:
        """Burst and stir until it reads the target, in ever shorter bursts."""
        for _ in range(60):
            shown = self.stir(30.0) if self.bowl.stirred else float(self.bowl.temperature()[0])
            if shown >= target:
                return
            gap = target - shown
            self.bowl.burst(40.0 if gap > 8.0 else 15.0 if gap > 3.0 else 6.0 if gap > 1.0 else 4.0)
            self.bowl.stir(5.0)

    def stir_down(self, target: float, most_min: float = 90.0) -> None:
        while self.stir(60.0) > target and self.seconds < 60.0 * most_min:
            pass

    def keep(self, minutes: float) -> None:
        """Keep it in the window with small bursts."""
        self.seconds_kept = 60.0 * minutes
        while self.seconds < self.seconds_kept:
            if self.stir(120.0) < self.aims.work_from_c + 0.3:
                self.bowl.burst(5.0)


def _kill(bowl: Bowls) -> None:
    """Turn the crystals of the stock into unstable ones: it was soft once and set as it liked."""
    parcels = bowl.y[:, :-1].reshape(1, bowl.zones, PARCEL)
    parcels[:, :, XU], parcels[:, :, X5], parcels[:, :, N5] = parcels[:, :, X5] * 0.7, 0.0, 0.0


def _live(cause: str, run: _Run) -> None:
    """Let the run happen."""
    rng, aims = run.rng, run.aims
    stop = aims.stop_c - rng.uniform(0.0, 0.5)
    if cause == "dead-stock":
        _kill(run.bowl)
    if cause == "overheated":
        stop = aims.limit_c + rng.uniform(0.6, 5.0)
    if cause == "under-melted":
        stop = aims.stop_c - rng.uniform(2.0, 4.0)
    if cause == "scorched":
        run.bowl.burst(90.0)
        for _ in range(20):
            if float(run.bowl.peak.max()) > aims.scorch_c + 3.0:
                break
            run.bowl.burst(20.0)
        run.stir(60.0)
    else:
        run.heat_to(stop)
    if cause == "under-melted":
        return
    run.stir(90.0)
    if cause == "still-warm":
        return
    run.stir_down(rng.uniform(aims.work_from_c, aims.work_to_c))
    if cause == "too-long":
        run.keep(rng.uniform(45.0, 120.0))
    if cause == "too-cold":
        run.stir_down(number(f"bowl.cold.{run.known.chocolate.kind}") - rng.uniform(0.3, 1.5))


def _seeded(run: _Run) -> None:
    """A fully melted bowl that got too little seed, and got it too warm."""
    rng = run.rng
    run.stir(30.0)
    run.hottest = -100.0
    run.bowl.add(run.known.job.grams / 1000.0 * rng.uniform(0.02, 0.06), 20.0)
    run.stir(120.0)
    run.stir_down(rng.uniform(run.aims.work_from_c, run.aims.work_to_c))


def _figures(run: _Run, pass_min: float) -> dict[str, float]:
    bowl = run.bowl
    solid, stable = float(bowl.solid()[0]), float(bowl.stable()[0])
    loss = np.array([run.rng.triangular(*_ends("film.paper.loss"))])
    state = parcel_states(bowl.temperature(), bowl.stable(), bowl.sites(), bowl.solid() - bowl.stable())
    minutes = float(min(film_times(bowl.members, state, loss)[0], 30.0)) * math.exp(0.2 * run.rng.standard_normal())
    thick = viscosity_ratio(min(solid, 1.0), float(bowl.members.rows[0, FAT]), float(bowl.members.kappa[0]))
    return {
        "thick": min(thick, 1e3), "solid": solid, "stable": stable, "unstable": solid - stable, "set": minutes,
        "late": minutes / pass_min, "lumps": float(bowl.lumpiest()[0]),
    }  # fmt: skip


def _ends(row: str) -> tuple[float, float, float]:
    spread = spread_of(row)
    return spread.low, spread.mid, spread.high


def _looks(cause: str, f: dict[str, float], rng: np.random.Generator) -> list[str]:
    """What a cook sees of it, and names."""
    eye = math.exp(_EYE * rng.standard_normal())
    there = {
        "thick": f["thick"] * eye > 2.0, "thin": f["thick"] * eye < 1.05,
        "lumpy": f["lumps"] > 0.12 and f["lumps"] - f["solid"] > 0.03 * eye,
        "will-not-set": f["late"] > 1.5, "sets-too-soon": f["set"] < 1.2,
        "streaks": f["stable"] < 0.008 * eye or f["unstable"] > 0.003 * eye,
        "dull": (f["thick"] * eye > 3.0 and rng.random() < 0.6) or (f["late"] > 1.2 and rng.random() < 0.4),
        "scorched": cause == "scorched" and rng.random() < 0.9,
        "grainy": cause == "scorched" and rng.random() < 0.6,
    }  # fmt: skip
    words = {w: number(f"trouble.word.{w}") for w in ("always", "often", "sometimes", "seldom")}
    if cause in BY_RULE:
        for sign, word in table().causes[cause].shows.items():
            there[sign] = there.get(sign, False) or rng.random() < words[word]
    goods = {"soft-pieces", "fingerprints"} if cause == "warm-room" else set()
    there |= {sign: rng.random() < 0.5 for sign in goods}
    named = [sign for sign, real in there.items() if real and rng.random() < _REPORTED]
    return named + [s for s in table().signs if s not in there and rng.random() < _SPURIOUS / 10.0]


def make_case(cause: str, rng: np.random.Generator) -> Case:
    """Simulate one bowl with a hidden cause, until a cook would say something about it or has a figure to tell."""
    kind = ("dark", "milk", "white")[int(rng.integers(3))]
    room = float(rng.uniform(26.0, 30.0) if cause == "warm-room" else rng.uniform(18.0, 23.0))
    bias = float(rng.choice([-1.0, 1.0]) * rng.uniform(1.2, 2.8)) if cause == "thermometer" else None
    seeded = cause == "too-little-seed"
    job = BowlJob(kind, float(rng.integers(5, 31) * 100), 900.0, room_c=room)
    if seeded:
        job = dataclasses.replace(job, stock="melted", start_c=40.0, method="seed")
    run = _Run(job, rng, bias)
    if seeded:
        _seeded(run)
    else:
        _live(cause, run)
    reads = run.read()
    usual = dataclasses.replace(job, room_c=20.0)
    pass_min = pass_minutes_usual(know(usual), run.aims, "paper")
    figures = _figures(run, pass_min)
    signs = _looks(cause, figures, rng)
    set_min = figures["set"] if figures["late"] < 2.0 else None
    told = dataclasses.replace(job, stock="buttons", start_c=None)
    ask = TroubleAsk(
        told, job.method, tuple(signs), (), round(run.hottest, 1), round(reads, 1), round(run.seconds / 60.0, 1),
        None if set_min is None else round(set_min, 1), 2.0 * pass_min if set_min is None else None,
    )  # fmt: skip
    return Case(cause, ask, run.aims.limit_c, pass_min)


def answer_check(case: Case, key: str, rng: np.random.Generator) -> str:
    """Answer a check truthfully, as far as the hidden cause decides it."""
    check = table().checks[key]
    words = {w: number(f"trouble.word.{w}") for w in ("always", "often", "sometimes", "seldom")}
    ask = case.ask
    if key == "hottest":
        return "over" if (ask.hottest_c or 0.0) > case.limit_c else "under"
    if key == "read":
        window = temperatures(know(ask.job))
        reads = ask.reads_c or 0.0
        inside = "window" if reads >= window.work_from_c - 0.4 else "below"
        return "above" if reads > case.limit_c else "warm" if reads > window.work_to_c + 0.4 else inside
    if key == "setting-test":
        late = ask.set_min is None or ask.set_min > 1.5 * case.pass_min
        poor = any(s in ask.seen for s in ("streaks", "dull"))
        return "late" if late else "streaky" if poor else "good"
    for outcome in check.outcomes:
        word = outcome.causes.get(case.cause)
        if word is not None and rng.random() < words[word]:
            return outcome.key
    return next(o.key for o in check.outcomes if o.rest)
