"""A full or read-only disk under a served kitchen: a banner on every page, nothing acknowledged that is not stored."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitchen_disk import reported


@pytest.mark.parametrize("mount", [True, False], ids=["a disk", "a limit"])
@pytest.mark.parametrize(("part", "problem"), [("full", "disk is full"), ("read only", "can be read but not written")])
def test_a_disk_that_fails_is_said_and_nothing_is_lost(part: str, problem: str, mount: bool, tmp_path: Path) -> None:
    """Taps are answered 503 with the banner, pages still open, and sent again with room they are kept, once."""
    found = reported(part, tmp_path, mount=mount)
    during, then = found["during"], found["then"]
    assert set(found["before"]) == {200}
    assert found["refused"] == [503, 503]
    assert during["acknowledged"] == during["stored"]
    assert (during["count"], during["faults"]) == (len(during["stored"]), 0)
    assert problem in during["banner"]
    assert "do not press it again" in during["banner"]
    assert (during["said"], during["on the page"]) == (during["banner"], True)
    assert (during["pages"], during["form"]) == ([200] * 5, 503)
    assert found["after"] == [200, 200, 200]
    assert then["acknowledged"] == then["stored"]
    assert len(then["stored"]) == len(during["stored"]) + 2 == then["count"]
    assert (then["banner"], then["faults"]) == ("", 0)
