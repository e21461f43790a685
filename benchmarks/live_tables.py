"""The live bowl's results as tables and in words."""

from __future__ import annotations

from typing import Any

__all__ = ["live_findings", "live_tables"]

Told = dict[str, Any]
Table = tuple[str, list[str], list[list[str]]]
AIM_TURN_MS, AIM_LOAD_MS = 150.0, 500.0


def live_tables(result: Told) -> list[Table]:
    """Return the tables of what has been measured of the live bowl."""
    found: list[Table] = []
    if "live" in result:
        head = ["filter", "particles", "ms", "error of log-likelihood", "error of band, sd", "both errors squared x ms"]
        found.append((f"Live filter, {result['live']['tellings']} tellings", head, _filter_rows(result["live"])))
    if "turn" in result:
        t = result["turn"]
        rows = [["update and next advice, all happenings", _ms(t["median_ms"]), _ms(t["p95_ms"]), _ms(t["most_ms"])]]
        rows += [[f"after {kind}", "–", _ms(p95), "–"] for kind, p95 in t["by_kind_p95_ms"].items()]
        rows.append(["the same, processor time of all cores", "–", _ms(t["cpu_p95_ms"]), _ms(t["cpu_most_ms"])])
        rows.append(["what if", "–", _ms(t["what_if_p95_ms"]), "–"])
        rows.append(["settling, in the background", _ms(t["settle_median_ms"]), "–", _ms(t["settle_most_ms"])])
        found.append((f"One live bowl, {t['particles']} particles", ["what", "median", "95 %", "most"], rows))
    if "load" in result:
        head = [
            "a tap per bowl every",
            "taps",
            "tap to advice, median",
            "95 %",
            "most",
            "on every device, 95 %",
            "never",
        ]
        title = f"{result['load']['devices']} devices on {result['load']['bowls']} bowls"
        found.append((title, head, _load_rows(result["load"])))
    return found


def _ms(x: float) -> str:
    return f"{x:.0f} ms"


def _filter_rows(live: Told) -> list[list[str]]:
    rows = []
    for name, sizes in live["filters"].items():
        for r in sizes:
            cost = f"{r['log_likelihood'] ** 2 * r['ms']:.3g}, {r['band'] ** 2 * r['ms']:.3g}"
            errors = [f"{r['log_likelihood']:.3f}", f"{r['band']:.3f}"]
            rows.append([name, f"{r['count']}", f"{r['ms']:.0f}", *errors, cost])
    return rows


def _load_rows(load: Told) -> list[list[str]]:
    return [
        [f"{r['period_s']:g} s", f"{r['taps']}", _ms(r["median_ms"]), _ms(r["p95_ms"]), _ms(r["most_ms"]),
         _ms(r["shown_p95_ms"]), f"{r['never_shown']}"] for r in load["rows"]
    ]  # fmt: skip


def live_findings(result: Told) -> list[str]:
    """Return one statement each on filters, the turn of one bowl, and load."""
    said = []
    if "live" in result:
        said.append(_filters(result["live"]))
    if "turn" in result:
        t = result["turn"]
        word = "met" if t["p95_ms"] < AIM_TURN_MS else "NOT met"
        said.append(
            f"Update plus next advice for one bowl with {t['particles']} particles: {t['p95_ms']:.0f} ms at 95 % of"
            f" {t['turns']} happenings; under {AIM_TURN_MS:.0f} ms was promised: {word}. Settling takes"
            f" {t['settle_median_ms'] / 1e3:.1f} s ({t['settle_most_ms'] / 1e3:.1f} at most) in the background."
        )
    if "load" in result:
        said.append(_load(result["load"]))
    return said


def _filters(live: Told) -> str:
    costs = {name: min(r["band"] ** 2 * r["ms"] for r in rows) for name, rows in live["filters"].items()}
    likely = {name: min(r["log_likelihood"] ** 2 * r["ms"] for r in rows) for name, rows in live["filters"].items()}
    ours = costs.pop("temperbench"), likely.pop("temperbench")
    told = "; ".join(
        f"{name}: bands {costs[name] / ours[0]:.2g} times, log-likelihood {likely[name] / ours[1]:.2g} times"
        for name in costs
    )
    return f"Time that the rivals need over ours for an equal error (error squared times ms, each at its best): {told}."


def _load(load: Told) -> str:
    rows = load["rows"]
    good = [r for r in rows if r["p95_ms"] < AIM_LOAD_MS]
    late = [r for r in rows if r not in good]
    first = rows[0]
    word = "met" if first in good else "NOT met"
    said = (
        f"{load['devices']} devices on {load['bowls']} bowls, a tap per bowl every {first['period_s']:g} s: tap to"
        f" advice {first['p95_ms']:.0f} ms at 95 %; under {AIM_LOAD_MS:.0f} ms was asked for: {word}. "
    )
    said += f"It degrades at a tap per bowl every {late[0]['period_s']:g} s: advice is late. " if late else ""
    kept = "none lost or doubled" if load["missing"] == 0 and load["refused"] == 0 else (
        f"{load['missing']} lost or doubled, {load['refused']} not answered"
    )  # fmt: skip
    return said + f"Of {sum(r['taps'] for r in rows)} taps {kept}."
