"""Too few, in temper or too many: from draws of the sample's crystals to chances, and to what to do with the bowl."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.foundation.numerics import Array
from temperbench.foundation.quantities import spread_of
from temperbench.insight.curve.fit import Posterior
from temperbench.insight.curve.result import VERDICTS, Remedy
from temperbench.insight.rescue import rescue_row
from temperbench.insight.setup_job import Known
from temperbench.insight.temperatures import Temperatures
from temperbench.kitchen.members import latin, triangular
from temperbench.matter.crystals import FAT
from temperbench.matter.flow import crystals_at_ratio

__all__ = ["Judged", "judge", "remedy"]


@dataclass(frozen=True)
class Judged:
    """Chances of the three verdicts, and the crystals behind them per kg of fat (m,)."""

    chances: tuple[float, float, float]  # in the order of VERDICTS
    stable: Array
    acts_like: Array
    too_thick: Array  # crystals at which a bowl of each draw is too thick to work

    @property
    def verdict(self) -> str:
        """The likeliest one."""
        return VERDICTS[int(np.argmax(self.chances))]


def judge(posterior: Posterior, *, seed: int = 1) -> Judged:
    """Judge draws: too few when they set slower than just enough crystals do, too many when the bowl is too thick."""
    sample = posterior.sample
    m = len(sample.stable)
    kappa = triangular(latin(np.random.default_rng([seed, 2]), m, 1)[0], spread_of("flow.kappa"), log=True)
    thick = crystals_at_ratio(number("bowl.thick_ratio"), sample.members.rows[:, FAT], kappa)
    few = sample.strength < number("bowl.enough")
    many = ~few & (sample.stable > thick)
    chances = (float(few.mean()), float((~few & ~many).mean()), float(many.mean()))
    return Judged(chances, sample.stable, sample.strength, thick)


def remedy(judged: Judged, known: Known, at: Temperatures, bowl_reads_c: float | None) -> Remedy:
    """Return what to do with the bowl the sample was taken from."""
    if bowl_reads_c is not None and bowl_reads_c > at.limit_c:
        row = rescue_row(known, at, round(bowl_reads_c, 1))
        if row.add_g is None:
            return Remedy("Melt fully, then seed", row.advice)
        return Remedy(f"Stir in {row.add_g} g of in-temper buttons", row.advice, seed_g=row.add_g)
    if judged.verdict == VERDICTS[0]:
        return _seed(judged, known)
    if judged.verdict == VERDICTS[2]:
        return _thin(judged, known, at)
    return Remedy(
        "Use it", f"Keep it between {at.work_from_c:g} and {at.work_to_c:g} °C and moving; it thickens with time."
    )


def _seed(judged: Judged, known: Known) -> Remedy:
    """Buttons that bring the middle draw to twice just enough, as for a bowl that did not set."""
    short = max(0.0, 2.0 * number("bowl.enough") - float(np.median(judged.acts_like)))
    grams = known.job.grams * short * number("live.seed_yield")
    grams = int(max(10.0, 5.0 * round(grams / 5.0)))
    detail = "Add them in portions, each until it is gone, then take another sample or make the setting test."
    return Remedy(f"Stir in {grams} g of in-temper buttons", detail, seed_g=grams)


def _thin(judged: Judged, known: Known, at: Temperatures) -> Remedy:
    """Warm towards the stop, or thin with warm melted chocolate."""
    over = float(np.median(judged.stable)) / max(
        number("curve.aim_of_thick") * float(np.median(judged.too_thick)), 1e-6
    )
    grams = known.job.grams * (over - 1.0)
    left = 100.0 * number("bowl.stop.left")
    detail = (
        f"Half a degree at a time, stirring, until it flows with ease; at {at.stop_c:.1f} °C about {left:g} % of the "
        f"fat stay solid, above {at.limit_c:.1f} °C the temper goes. Then down into the window again."
    )
    if 0.0 < grams <= number("curve.most_melted") * known.job.grams:
        grams = int(max(10.0, 10.0 * round(grams / 10.0)))
        detail += f" Or stir in {grams} g of melted chocolate at 40 to 45 °C, and take another sample."
        return Remedy(f"Warm it, to {at.stop_c:.1f} °C at most", detail, warm_to_c=at.stop_c, melted_g=grams)
    return Remedy(f"Warm it, to {at.stop_c:.1f} °C at most", detail, warm_to_c=at.stop_c)
