"""What thermometers are worth: kinds, classes, infrared, lag."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from temperbench.foundation.errors import InputError, OutOfRange
from temperbench.kitchen.thermometers import (
    CLASSES,
    KINDS,
    infrared_reading,
    lagged_reading,
    sheath_lag,
    skin_cooling,
    thermometer_of,
    tolerance,
)

WARM, ROOM, EMISSIVITY = st.floats(15.0, 60.0), st.floats(10.0, 35.0), st.floats(0.5, 1.0)


def test_kinds_in_order_of_trust() -> None:
    """A checked probe is known best, then infrared, then the eye, in bias and in noise; only infrared sees the skin."""
    probe, infrared, eye = map(thermometer_of, KINDS)
    assert probe.bias_c.high < infrared.bias_c.high < eye.bias_c.high
    assert probe.noise_sd_c < infrared.noise_sd_c < eye.noise_sd_c
    assert [t.surface_only for t in (probe, infrared, eye)] == [False, True, False]
    assert [t.gives_a_number for t in (probe, infrared, eye)] == [True, True, False]
    assert probe.tau_s.mid > infrared.tau_s.mid


def test_a_class_sets_the_bias() -> None:
    """A probe of a class has that class's tolerance at 32 °C as its bias, and only a probe has a class."""
    assert thermometer_of("probe", "pt100-a").bias_c.high == pytest.approx(0.214)
    assert thermometer_of("probe", "k-2").bias_c.low == -2.5
    with pytest.raises(InputError, match="thermometer"):
        thermometer_of("infrared", "k-2")


@pytest.mark.parametrize(("kind", "klass"), [("probes", None), ("probe", "k-3")])
def test_unknown_kinds_are_named(kind: str, klass: str | None) -> None:
    """An unknown kind or class is refused with the nearest known."""
    with pytest.raises(InputError, match="did you mean"):
        thermometer_of(kind, klass)


@given(st.sampled_from(CLASSES), st.floats(0.0, 200.0), st.floats(0.0, 200.0))
def test_hotter_is_never_surer(klass: str, one: float, other: float) -> None:
    """Tolerance does not shrink with the temperature, and a better class is never worse."""
    low, high = sorted((one, other))
    assert 0.0 < tolerance(klass, low) <= tolerance(klass, high)
    assert tolerance("t-1", one) < tolerance("t-2", one)
    assert tolerance("pt100-aa", one) < tolerance("pt100-a", one) < tolerance("pt100-b", one)


def test_tolerance_outside_a_kitchen_is_refused() -> None:
    """A class is not asked at furnace temperatures."""
    with pytest.raises(OutOfRange, match="kitchen"):
        tolerance("k-1", 400.0)


@given(WARM, ROOM, EMISSIVITY)
def test_infrared_reads_right_when_set_right(true: float, room: float, emissivity: float) -> None:
    """With the set emissivity true, or surface and room alike, the reading is the truth."""
    assert infrared_reading(true, room, emissivity, emissivity) == pytest.approx(true, abs=1e-6)
    assert infrared_reading(true, true, emissivity, 0.95) == pytest.approx(true, abs=1e-6)


@given(st.floats(1.0, 30.0), ROOM, st.floats(0.5, 0.94))
def test_dull_surfaces_are_set_brighter_and_read_towards_the_room(above: float, room: float, emissivity: float) -> None:
    """A surface less black than the setting reads between its own temperature and that of the room."""
    assert room < infrared_reading(room + above, room, emissivity, 0.95) < room + above


@pytest.mark.parametrize(("emissivity", "true", "reads"), [(0.90, 32.0, 31.40), (0.90, 45.0, 43.8), (0.16, 32.0, 22.1)])
def test_infrared_on_dull_chocolate_and_bright_steel(emissivity: float, true: float, reads: float) -> None:
    """Regression: set to 0.95 in a room of 20 °C; bright steel shows the room."""
    assert infrared_reading(true, 20.0, emissivity, 0.95) == pytest.approx(reads, abs=0.05)


def test_impossible_infrared_is_refused() -> None:
    """An emissivity above 1 or of nothing, and a glaring background, give no reading."""
    with pytest.raises(OutOfRange, match="emissivity"):
        infrared_reading(32.0, 20.0, 1.2)
    with pytest.raises(OutOfRange, match="emissivity_set"):
        infrared_reading(32.0, 20.0, 0.9, 0.0)
    with pytest.raises(OutOfRange, match="shade"):
        infrared_reading(0.0, 800.0, 0.95, 0.5)


@given(st.floats(1.0, 300.0))
def test_skin_cools_with_the_root_of_time(time: float) -> None:
    """Four times as long unstirred, twice as far below; 120 W/m² sink the skin by about 1 K in half a minute."""
    assert skin_cooling(120.0, 4.0 * time) == pytest.approx(2.0 * skin_cooling(120.0, time))
    assert skin_cooling(120.0, 30.0) == pytest.approx(1.0, abs=0.05)


def test_probes_are_slow_in_chocolate() -> None:
    """Regression: a 3.2 mm sheath takes 1.5 s in stirred water and 19 s in stirred chocolate to 63 %."""
    assert [sheath_lag(0.0032, h) for h in (2000.0, 150.0)] == pytest.approx([1.45, 19.4], abs=0.05)


@given(WARM, WARM, st.floats(0.1, 60.0), st.floats(0.1, 100.0))
def test_lag_closes_the_gap(shown: float, true: float, time: float, tau: float) -> None:
    """A reading moves towards the truth without passing it, the same in one step or two; without lag it is there."""
    once = lagged_reading(shown, true, time, tau)
    twice = lagged_reading(lagged_reading(shown, true, time / 2.0, tau), true, time / 2.0, tau)
    assert once == pytest.approx(twice)
    assert min(shown, true) - 1e-9 <= once <= max(shown, true) + 1e-9
    assert true == lagged_reading(shown, true, time, 0.0)
