"""A sequence of bursts is read as cooks write it."""

from __future__ import annotations

import pytest

from temperbench.app.simulate_bowl import read_bursts
from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import number


@pytest.mark.parametrize(
    ("text", "steps"),
    [
        ("60/20,15/20,10/30", ((60.0, 0.0, 20.0), (15.0, 0.0, 20.0), (10.0, 0.0, 30.0))),
        ("60/20, 15/5/20; 0/60", ((60.0, 0.0, 20.0), (15.0, 5.0, 20.0), (0.0, 0.0, 60.0))),
        ("60s/20s 7.5/20", ((60.0, 0.0, 20.0), (7.5, 0.0, 20.0))),
    ],
)
def test_steps_are_burst_stand_and_stir(text: str, steps: tuple[tuple[float, float, float], ...]) -> None:
    """Two figures are burst and stir, three have the stand between; commas, blanks and semicolons part steps."""
    assert read_bursts(text, "--bursts") == steps


def test_a_lone_burst_has_the_usual_stir() -> None:
    """A step of one figure is stirred as usual."""
    assert read_bursts("60", "--bursts") == ((60.0, 0.0, number("usual.stir_s")),)


@pytest.mark.parametrize(
    "text", ["", " , ", "60/", "a", "60/20/5/1", "-5/20", "601/20", "1/2" * 400, "1 " * 61, "٣/20"]
)
def test_what_is_no_sequence_is_refused_by_name(text: str) -> None:
    """Nothing, words, negative, endless and too many steps are refused in one sentence."""
    with pytest.raises(InputError, match=r"^--bursts: ") as caught:
        read_bursts(text, "--bursts")
    assert "\n" not in str(caught.value)
