"""The stand-in of a costly model: right where it has seen points, honest about how far off it is, and never trusted."""

from __future__ import annotations

import numpy as np

from temperbench.insight.surrogate import learn

ERRORS = np.array([0.1, 0.5])


def figures(z: np.ndarray) -> np.ndarray:
    """Two smooth figures of six axes, of which two matter little and one not at all."""
    return np.array(
        [z[0] + 0.3 * z[0] * z[1] + 0.05 * z[2], 2.0 * z[1] - z[3] + 0.2 * np.sin(2.0 * z[0]) + 0.05 * z[4]]
    )


def slopes() -> np.ndarray:
    """Their slopes about nought."""
    step = 0.5 * np.eye(6)
    return figures(step) - figures(-step)


def test_guesses_are_as_good_as_they_say() -> None:
    """On new points guesses are off by what is said, within a factor of two, and by less than a tenth of the spread."""
    rng = np.random.default_rng(1)
    z, new = rng.standard_normal((6, 600)), 0.7 * rng.standard_normal((6, 400))
    learnt = learn(z, figures(z), ERRORS, np.zeros(6), slopes())
    assert learnt is not None
    off = (learnt.figures(new) - figures(new)).std(axis=1)
    assert (off < 0.1 * figures(new).std(axis=1)).all()
    assert ((0.5 * learnt.off < off) & (off < 2.0 * learnt.off)).all()


def test_axes_without_a_say_are_left_out() -> None:
    """An axis no figure depends on is no part of what is learnt."""
    z = np.random.default_rng(2).standard_normal((6, 200))
    learnt = learn(z, figures(z), ERRORS, np.zeros(6), slopes())
    assert learnt is not None
    assert learnt.axes.tolist() == [0, 1, 2, 3, 4]


def test_points_without_figures_are_left_out() -> None:
    """Points that failed teach nothing; with too few left nothing is learnt."""
    z = np.random.default_rng(3).standard_normal((6, 100))
    seen = figures(z)
    seen[0, ::2], seen[1, 1::4] = np.nan, np.inf
    learnt = learn(z, seen, ERRORS, np.zeros(6), slopes())
    assert learnt is not None
    assert learnt.known.shape[1] == 25
    assert np.isfinite(learnt.figures(z)).all()
    seen[:, 3:] = np.nan
    assert learn(z, seen, ERRORS, np.zeros(6), slopes()) is None
