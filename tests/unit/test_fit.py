"""The rows that were fitted are fitted again, and a value that was not observed is caught."""

from __future__ import annotations

import pytest

from contract.tree import script
from temperbench.foundation import evidence

fit = script("fit")
QUICK = ("crystals.growth", "crystals.milk_fat_shift", "crystals.melting.v", "bowl.lump")


def test_every_fitted_row_has_its_fit() -> None:
    """A row may say "fitted" only when the script fits it, and its note names the script."""
    rows = {row.id: row for row in evidence.rows().values() if row.basis == "fitted"}
    assert set(rows) == {one.row for one in fit.FITS}
    assert {key for key, row in rows.items() if "scripts/fit.py" not in row.note} == set()


@pytest.mark.parametrize("name", QUICK)
def test_fitting_again_gives_the_stored_value(name: str) -> None:
    """Least squares over the observations, with the model itself, comes back to what the table holds."""
    result = fit.fitted(next(one for one in fit.FITS if one.row == name))
    assert result.verdict == "reproduced"
    low, high = result.allowed
    assert low <= result.stored <= high


def test_a_value_that_was_not_observed_is_caught() -> None:
    """A model that set smears in half the time would contradict what was observed, and the script would say so."""
    growth = next(one for one in fit.FITS if one.row == "crystals.growth")
    wrong = growth._replace(predict=lambda value: tuple(0.5 * minutes for minutes in growth.predict(value)))
    assert fit.fitted(wrong).verdict == "NOT ALLOWED"


def test_a_bound_alone_determines_nothing() -> None:
    """An observation without a figure gives no value to fit to; the report says that the row is not determined."""
    result = fit.fitted(next(one for one in fit.FITS if one.row == "kinetics.growth_factor.milk"))
    assert result.again is None
    assert result.verdict == "allowed, not determined"
    assert any("Not determined" in line for line in fit.report(result))
