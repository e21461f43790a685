"""Whether the bands of a cooling curve hold the truth as often as they say, over simulated cups."""

from __future__ import annotations

import math

import numpy as np
import pytest

from calibration.kitchens import BANDS
from sample_cups import LoggedCup, draw_cup
from temperbench.insight.curve import fit as module
from temperbench.insight.curve.fit import fit
from temperbench.insight.curve.read_curve import fitted_part, prior_of
from temperbench.insight.curve.smooth import look_at
from temperbench.insight.setup_job import know

LONG = {("dark", "jacket"): 100, ("milk", "jacket"): 40}


def ranks_of(cup: LoggedCup) -> tuple[float, float]:
    """Share of the draws below the truth: of the crystals, and of what they set like."""
    look = look_at(cup.series)
    bins, _ = fitted_part(cup.series, look)
    found = fit(prior_of(cup.ask, know(cup.ask.job), cup.series, look), bins).sample
    return float(np.mean(found.stable < cup.stable)), float(np.mean(found.strength < cup.strength))


def covered(ranks: np.ndarray) -> np.ndarray:
    """How often the central bands hold the truth, (bands, figures)."""
    return np.array([(np.abs(ranks - 0.5) < 0.5 * band).mean(axis=0) for band in BANDS])


def beyond(share: np.ndarray, n: int, errors: float) -> np.ndarray:
    """Mark shares further from what they say than so many standard errors."""
    said = np.array(BANDS)[:, None]
    return np.asarray(np.abs(share - said) > errors * np.sqrt(said * (1.0 - said) / n) + 0.5 / n)


def test_a_few_cups_are_covered() -> None:
    """Five cups: within four standard errors of what the bands say. So few show gross faults only."""
    ranks = np.array([ranks_of(draw_cup(k)) for k in range(5)])
    assert not beyond(covered(ranks), len(ranks), 4.0).any(), covered(ranks)


@pytest.mark.long
@pytest.mark.parametrize(("kind", "cup"), LONG)
def test_bands_hold_the_truth_as_often_as_they_say(kind: str, cup: str) -> None:
    """Bands of 50, 80 and 95 % of crystals and of what they set like, within three standard errors."""
    count = LONG[kind, cup]
    ranks = np.array([ranks_of(draw_cup(k, kind, cup)) for k in range(count)])
    shares = covered(ranks)
    print(f"\n{kind}, {cup}, 50/80/95 %: " + "; ".join("/".join(f"{100 * s:.0f}" for s in row) for row in shares.T))
    assert not beyond(shares, count, 3.0).any(), shares


@pytest.mark.long
def test_more_moves_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """With three times as many moves the middle of what crystals set like moves by less than a third of its spread."""

    def middles() -> list[tuple[float, float]]:
        found = []
        for k in range(12):
            cup = draw_cup(k)
            look = look_at(cup.series)
            bins, _ = fitted_part(cup.series, look)
            logs = np.log(fit(prior_of(cup.ask, know(cup.ask.job), cup.series, look), bins).sample.strength)
            found.append((float(np.median(logs)), float(np.std(logs))))
        return found

    plain = middles()
    number = module.number
    monkeypatch.setattr(module, "number", lambda key: 24.0 if key == "curve.moves" else number(key))
    longer = middles()
    moved = [abs(a[0] - b[0]) / b[1] for a, b in zip(plain, longer, strict=True)]
    assert math.fsum(moved) / len(moved) < 1.0 / 3.0
