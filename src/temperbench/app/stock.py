"""What a bowl takes from the stock of its lot: its grams at the start, buttons stirred in later, and back by undo."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from temperbench.book.rows import StockMove
from temperbench.foundation.units import Gram
from temperbench.insight.live import Happening
from temperbench.insight.live_run import counting

__all__ = ["START", "button_grams", "move_of"]

START = "start"
_BUTTONS = (None, "buttons")  # blocks, cocoa butter and melted chocolate are not taken for the same lot
_TAKEN, _RETURNED = "taken", "returned"


def button_grams(happenings: Sequence[Happening]) -> Gram:
    """Return how many buttons were stirred in, by what stands: undone ones out, corrected ones as corrected.

    Parameters
    ----------
    happenings : Sequence[Happening]
        Of a run, in the order they were pressed. [-]

    Returns
    -------
    Gram
        Buttons. [g]
    """
    return sum(
        h.grams or 0.0
        for h in counting([*happenings])
        if h.kind == "added" and h.seed in _BUTTONS and h.material is None
    )


def move_of(
    run_id: str, happening_id: str, lot_id: str, grams: Gram, pressed_ms: int, device: str = ""
) -> StockMove | None:  # fmt: skip
    """Return the move of a lot's stock that goes with a happening; None when it takes nothing.

    Parameters
    ----------
    run_id
        The bowl.
    happening_id
        What moved it, or `START`: the same one gives the same move, so that it counts once.
    lot_id
        The lot.
    grams
        What went into the bowl; negative when that was taken back. [g]
    pressed_ms
        When it was pressed, UTC.
    device
        Where it was pressed.
    """
    if grams == 0.0:
        return None
    key = hashlib.sha256(f"{run_id} {happening_id}".encode()).hexdigest()[:40]
    reason = _TAKEN if grams > 0.0 else _RETURNED
    return StockMove(key, lot_id, -grams, reason, pressed_ms, device, run_id)
