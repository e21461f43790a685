"""Error against time as a picture, with the observed order of our method beside it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import matplotlib as mpl

from one import OURS
from task import ENOUGH_K

__all__ = ["draw"]

MARKS = "osD^vP*XhH<>"


def draw(result: dict[str, Any], path: Path) -> bool:
    """Write the picture once both its halves have been measured, and say whether."""
    if "one" not in result or "arithmetic" not in result:
        return False
    mpl.use("Agg")
    from matplotlib import pyplot as plt

    figure, (left, right) = plt.subplots(1, 2, figsize=(12.0, 6.0), width_ratios=(3, 1.4), layout="constrained")
    for k, (name, points) in enumerate(result["one"]["grid"].items()):
        good = sorted((p for p in points if "error_K" in p), key=lambda p: p["median_s"])
        x = [1e3 * p["median_s"] for p in good]
        spread = [[1e3 * (p["median_s"] - p["q1_s"]) for p in good], [1e3 * (p["q3_s"] - p["median_s"]) for p in good]]
        left.errorbar(x, [p["error_K"] for p in good], xerr=spread, marker=MARKS[k % len(MARKS)], label=name,
                      linewidth=2.4 if name == OURS else 1.0, color="black" if name == OURS else None)  # fmt: skip
    left.axhline(ENOUGH_K, color="grey", linestyle=":", linewidth=1.0)
    left.set(xscale="log", yscale="log", xlabel="median time of one bowl, ms", ylabel="worst error of temperature, K",
             title=f"Twenty minutes of one bowl, {result['one']['outputs']} outputs, one core")  # fmt: skip
    left.legend(fontsize=8)
    order = result["arithmetic"]["order"]
    right.loglog(order["step_s"], order["error_K"], "ko-", label=OURS)
    h, e = order["step_s"], order["error_K"]
    right.loglog(h, [e[2] * (x / h[2]) ** 4 for x in h], "--", color="grey", label="slope 4")
    right.set(xlabel="fixed step, s", ylabel="error after one minute, K", title="Order of convergence")
    right.legend(fontsize=8)
    m = result["machine"]
    figure.supxlabel(
        f"{m['processor']}, {m['cores']} cores, {result['parts']['one']['date']}, {result['mode']} run", fontsize=8
    )
    figure.savefig(path, dpi=130)
    plt.close(figure)
    return True
