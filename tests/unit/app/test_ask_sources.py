"""Any figure shown can answer where it comes from."""

from __future__ import annotations

import pytest

from temperbench.app.ask_sources import ask_sources
from temperbench.foundation.errors import InputError
from temperbench.foundation.evidence import rows, sources


def test_all_figures_are_listed_in_order() -> None:
    """Asking for nothing lists every row once, by id, with its work and the meaning of its mark."""
    found = ask_sources()
    assert [evidence.value.id for evidence in found] == sorted(rows())
    assert all(evidence.work == sources()[evidence.value.source] and evidence.basis_means for evidence in found)


def test_one_id_is_one_figure() -> None:
    """An id finds its row, capitals or not."""
    assert [evidence.value for evidence in ask_sources(" Limit.GRAMS ")] == [rows()["limit.grams"]]


def test_a_beginning_finds_all_that_begin_so() -> None:
    """Whole parts of an id find what stands below them; half a part does not."""
    wanted = sorted(key for key in rows() if key.startswith("limit."))
    assert [evidence.value.id for evidence in ask_sources("limit")] == wanted
    assert [evidence.value.id for evidence in ask_sources("limit.")] == wanted


def test_a_work_finds_the_figures_it_gave() -> None:
    """The key of a cited work finds its rows."""
    assert {evidence.value.source for evidence in ask_sources("practice")} == {"practice"}


@pytest.mark.parametrize(
    ("asked", "told"), [("limit.gram", "did you mean “limit.grams”?"), ("", "list all"), ("§" * 500, "list all")]
)
def test_what_is_no_id_gets_the_nearest(asked: str, told: str) -> None:
    """A misspelt id is answered with the one probably meant."""
    with pytest.raises(InputError, match=r"^ID: ") as caught:
        ask_sources(asked)
    assert told in str(caught.value)
