"""The results as tables: a title, a head, rows of short texts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from live_tables import live_tables
from one import OURS
from task import ENOUGH_K

__all__ = ["LEVELS", "Cells", "Table", "Told", "at_level", "best_row", "per_member", "tables"]

Cells = Sequence[str]
Told = dict[str, Any]
Table = tuple[str, Cells, list[Cells]]
TIGHTER_K = 0.001
LEVELS = (ENOUGH_K, TIGHTER_K)


def at_level(points: Iterable[Told], level: float) -> Told | None:
    """Return the fastest measured point that is at least so accurate."""
    good = [p for p in points if p.get("error_K", float("inf")) <= level]
    return min(good, key=lambda p: p["median_s"]) if good else None


def _ms(point: Told | None) -> str:
    if point is None:
        return "not reached"
    spread = f"{1e3 * point['q1_s']:.3g}–{1e3 * point['q3_s']:.3g}"
    return f"{1e3 * point['median_s']:.3g} ({spread}), {point['error_K']:.1g} K"


def _times(seconds: float, ours: float) -> str:
    return f"{seconds / ours:.2g}"


def _seconds(x: float) -> str:
    return f"{x:.3g} s"


def _one_rows(result: Told, kind: str) -> list[Cells]:
    solvers = result["one"][kind]
    ours = {level: at_level(solvers[OURS], level) for level in LEVELS}
    rows = []
    for name, points in solvers.items():
        cells = [name]
        for level in LEVELS:
            point = at_level(points, level)
            cells.append(_ms(point))
            against = ours[level]
            cells.append("–" if point is None or against is None else _times(point["median_s"], against["median_s"]))
        rows.append(cells)
    return rows


def _spent(row: Told) -> str:
    if row["repeats"] == 1:
        return _seconds(row["median_s"])
    return f"{row['median_s']:.3g} s ({row['q1_s']:.3g}–{row['q3_s']:.3g})"


def per_member(row: Told) -> float:
    return row["median_s"] / row["members"]


def best_row(solver: Told, members: int | None = None, cores: int | None = None) -> Told:
    """Return the row with so many members and cores; the fastest per member among those left."""
    rows = [r for r in solver["rows"] if members in (None, r["members"]) and cores in (None, r["cores"])]
    return min(rows, key=per_member)


def _many_rows(result: Told) -> list[Cells]:
    solvers, m = result["many"]["solvers"], result["many"]["members"]
    rows = []
    for name, solver in solvers.items():
        reached = solver["error_K"] <= ENOUGH_K
        for row in solver["rows"]:
            if row["members"] != m and len({r["members"] for r in solver["rows"]}) > 1:
                continue
            ours = best_row(solvers[OURS], m, row["cores"])
            rows.append([
                name, f"{row['members']}", f"{row['cores']}", f"{solver['tol_K']:g}",
                f"{solver['error_K']:.2g} K" + ("" if reached else " (!)"), _spent(row),
                _seconds(solver["first_call_s"]), _times(per_member(row), per_member(ours)),
            ])  # fmt: skip
    return rows


def _scaling_rows(result: Told) -> list[Cells]:
    rows = []
    for name, solver in result["many"]["solvers"].items():
        sizes = sorted({r["members"] for r in solver["rows"]})
        if len(sizes) > 1:
            for cores in sorted({r["cores"] for r in solver["rows"]}):
                found = [best_row(solver, size, cores) for size in sizes]
                rows.append([name, str(cores), *(f"{1e6 * per_member(r):.4g}" for r in found)])
    return rows


def _robust_rows(result: Told) -> list[Cells]:
    def share(x: float) -> str:
        return f"{100.0 * x:.4g}"

    return [
        [name, f"{r['members']}", f"{r['tol_K']:g}", *(share(r[k]) for k in ("finish", "heat", "fractions", "all")),
         f"{r['worst_leak']:.0e}", f"{max(r['worst_below'], 0.0):.0e}", f"{1e6 * r['per_bowl_s']:.3g}"]
        for name, r in result["robust"].items()
    ]  # fmt: skip


def _first_rows(result: Told) -> list[Cells]:
    f = result["first"]
    rows = [[name, _seconds(f["import_s"][name]), f"{f['installed_MB'][name]:.0f} MB"] for name in f["import_s"]]
    return [["empty interpreter", _seconds(f["empty_s"]), "–"], *rows]


def _answer_rows(result: Told) -> list[Cells]:
    return [[n, _seconds(x["cold"]), _seconds(x["kept"])] for n, x in result["first"]["answer_s"].items()]


def _plan_rows(result: Told) -> list[Cells]:
    found = result["plan"]
    if "skipped" in found:
        return [["skipped", found["skipped"]]]
    warm = found["warm"]
    rows = []
    if "cold" in found:
        rows.append(["new process, nothing compiled yet", _seconds(found["cold"]["process_s"] - _later(found["cold"]))])
    rows.append(["new process, first plan", _seconds(warm["process_s"] - _later(warm))])
    rows.append(["call in a running process, median", _seconds(warm["call_median_s"])])
    return rows


def _method_rows(times: Told) -> list[Cells]:
    warm, new, first = times["seconds"], times.get("new_process", {}), times.get("import_s", {})
    rows = [
        [name, _seconds(took), f"{took / warm['microwave']:.2g}", *(_seconds(x[name]) if name in x else "–"
                                                                      for x in (new, first))]
        for name, took in warm.items()
    ]  # fmt: skip
    for name, took in times.get("compiled_anew", {}).items():
        rows.append([f"{name}, nothing compiled yet", "–", "–", _seconds(took), "–"])
    return rows


def _curve_rows(result: Told) -> list[Cells]:
    """Errors as the factor by which crystals are missed."""
    return [
        [name, _seconds(way["median_s"]), _seconds(way["most_s"]), _seconds(way["processor_s"]),
         f"{100 * way['answers']:.0f} %", f"× {10 ** way['rms_dex']:.2f}", f"× {10 ** way['median_dex']:.2f}",
         " / ".join(f"{100 * share:.0f}" for share in way["covered"])]
        for name, way in result["curves"]["ways"].items()
    ]  # fmt: skip


def _later(process: Told) -> float:
    """Seconds a process spent on further plans."""
    return float(process["later_s"])


def tables(result: Told) -> list[Table]:
    """Return a table for everything that has been measured."""
    found: list[Table] = []
    if "one" in result:
        found += _one_tables(result)
    if "many" in result:
        found += _many_tables(result)
    if "robust" in result:
        found.append((
            "Robustness: share of bowls, per cent, and the worst of all",
            ["solver", "bowls", "tol, K", "finish", "heat", "0 to 1", "all", "leak", "outside", "µs/bowl"],
            _robust_rows(result),
        ))  # fmt: skip
    if "first" in result:
        found.append(("New process: imports and size on disk", ["set", "import", "installed"], _first_rows(result)))
        title = "New process to the first bowl's result"
        found.append((title, ["solver", "nothing compiled yet", "compiled code kept on disk"], _answer_rows(result)))
    if "plan" in result:
        found.append(("A plan of 1 kg dark, 512 members", ["what", "time"], _plan_rows(result)))
    if "curves" in result:
        title = f"A cooling curve of {result['curves']['readings']} readings, {result['curves']['cups']} cups"
        head = [
            "way",
            "median",
            "longest",
            "of all cores",
            "answers",
            "error, rms",
            "error, median",
            "50 / 80 / 95 % bands hold",
        ]
        found.append((title, head, _curve_rows(result)))
    if "methods" in result:
        title = f"A plan by each method, 1 kg dark, {result['methods']['members']} members"
        head = ["method", "running process, median", "over the microwave's", "new process", "of that importing"]
        found.append((title, head, _method_rows(result["methods"])))
    return [table for table in (*found, *live_tables(result)) if table[2]]


def _one_tables(result: Told) -> list[Table]:
    head = ["solver", "ms (quartiles), error <= 0.02 K", "× ours", "ms, error <= 0.001 K", "× ours"]
    titles = {"grid": f"One bowl, one core, {result['one']['outputs']} outputs",
              "ends": "One bowl, one core, outputs at the ends of phases only"}  # fmt: skip
    return [(title, head, _one_rows(result, kind)) for kind, title in titles.items() if result["one"][kind]]


def _many_tables(result: Told) -> list[Table]:
    solvers, m = result["many"]["solvers"], result["many"]["members"]
    sizes = sorted({r["members"] for r in solvers[OURS]["rows"]})
    return [
        (f"Ensemble, worst of {m} members right to {ENOUGH_K:g} K",
         ["solver", "bowls", "cores", "tol, K", "worst", "warm", "first call", "× ours"], _many_rows(result)),
        ("µs per bowl", ["solver", "cores", *map(str, sizes)], _scaling_rows(result)),
    ]  # fmt: skip
