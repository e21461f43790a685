"""The results as one table for a terminal, and as the block of docs/bench.md."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from one import OURS
from task import ENOUGH_K

__all__ = ["markdown", "text"]

Cells = Sequence[str]
Told = dict[str, Any]
TIGHTER_K = 0.001
BUSY = 0.3  # cores busy with other things above which a run is marked as disturbed
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


def _per_member(row: Told) -> float:
    return row["median_s"] / row["members"]


def best_row(solver: Told, members: int | None = None, cores: int | None = None) -> Told:
    """Return the row with so many members and cores; the fastest per member among those left."""
    rows = [r for r in solver["rows"] if members in (None, r["members"]) and cores in (None, r["cores"])]
    return min(rows, key=_per_member)


def _many_rows(result: Told) -> list[Cells]:
    solvers, m = result["many"]["solvers"], result["many"]["members"]
    ours = _per_member(best_row(solvers[OURS], m))
    rows = []
    for name, solver in solvers.items():
        reached = solver["error_K"] <= ENOUGH_K
        for row in solver["rows"]:
            if row["members"] != m and len({r["members"] for r in solver["rows"]}) > 1:
                continue
            rows.append([
                name, f"{row['members']}", f"{row['cores']}", f"{solver['tol_K']:g}",
                f"{solver['error_K']:.2g} K" + ("" if reached else " (!)"), _spent(row),
                _seconds(solver["first_call_s"]), _times(_per_member(row), ours),
            ])  # fmt: skip
    return rows


def _scaling_rows(result: Told) -> list[Cells]:
    rows = []
    for name, solver in result["many"]["solvers"].items():
        sizes = sorted({r["members"] for r in solver["rows"]})
        if len(sizes) > 1:
            for cores in sorted({r["cores"] for r in solver["rows"]}):
                found = [best_row(solver, size, cores) for size in sizes]
                rows.append([name, str(cores), *(f"{1e6 * _per_member(r):.4g}" for r in found)])
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


def _later(process: Told) -> float:
    """Seconds a process spent on further plans."""
    return float(process["later_s"])


Table = tuple[str, Cells, list[Cells]]


def _tables(result: Told) -> list[Table]:
    m = result["many"]["members"]
    head = ["solver", "ms (quartiles), error <= 0.02 K", "× ours", "ms, error <= 0.001 K", "× ours"]
    found: list[Table] = [(f"One bowl, one core, {result['one']['outputs']} outputs", head, _one_rows(result, "grid"))]
    if result["one"]["ends"]:
        found.append(("One bowl, one core, outputs at the ends of phases only", head, _one_rows(result, "ends")))
    sizes = sorted({r["members"] for r in result["many"]["solvers"][OURS]["rows"]})
    found += [
        (f"Ensemble, worst of {m} members right to {ENOUGH_K:g} K",
         ["solver", "bowls", "cores", "tol, K", "worst", "warm", "first call", "× ours"], _many_rows(result)),
        ("µs per bowl", ["solver", "cores", *map(str, sizes)], _scaling_rows(result)),
        ("Robustness: share of bowls, per cent, and the worst of all",
         ["solver", "bowls", "tol, K", "finish", "heat", "0 to 1", "all", "leak", "outside", "µs/bowl"],
         _robust_rows(result)),
        ("New process: imports and size on disk", ["set", "import", "installed"], _first_rows(result)),
        ("New process to the first bowl's result",
         ["solver", "nothing compiled yet", "compiled code kept on disk"], _answer_rows(result)),
        ("A plan of 1 kg dark, 512 members", ["what", "time"], _plan_rows(result)),
    ]  # fmt: skip
    return [table for table in found if table[2]]


def _sentences(result: Told) -> list[str]:
    """What the numbers say, in words, whoever wins."""
    solvers = result["one"]["grid"]
    said = []
    for level in LEVELS:
        ours = at_level(solvers[OURS], level)
        if ours is None:
            said.append(f"One bowl: ours does not reach {level:g} K with the tolerances tried.")
            continue
        ratios = {name: at_level(points, level) for name, points in solvers.items() if name != OURS}
        said.append(_ranking(f"One bowl at {level:g} K or better", ours["median_s"],
                             {n: p["median_s"] for n, p in ratios.items() if p}))  # fmt: skip
    many = result["many"]["solvers"]
    mine = _per_member(best_row(many[OURS], result["many"]["members"]))
    rivals = {n: _per_member(best_row(s)) for n, s in many.items() if n != OURS and s["error_K"] <= ENOUGH_K}
    said.append(_ranking(f"Ensemble, worst of {result['many']['members']}, per bowl", mine, rivals))
    said.append(_aims(solvers, rivals, mine))
    f = result["flops"]
    said.append(
        f"Arithmetic: {f['per_step']:.0f} operations a step, {f['steps']} steps, {f['operations'] / 1e6:.2f} million a"
        f" bowl, {f['rate'] / 1e9:.2f} Gflop/s, {100 * f['share']:.1f} % of the {f['peak'] / 1e9:.1f} Gflop/s that a"
        " matrix product reaches on one core."
    )
    rates, jac = 6.0 * f["steps"] * f["rates_s"] / f["run_s"], f["steps"] * f["jacobian_s"] / f["run_s"]
    said.append(
        f"Where the time of a run goes: the rates (six a step, {1e6 * f['rates_s']:.2f} µs each) {100 * rates:.0f} %,"
        f" the Jacobian ({1e6 * f['jacobian_s']:.2f} µs) {100 * jac:.0f} %, the rest (linear algebra, stages, control)"
        f" {100 * (1 - rates - jac):.0f} %."
    )
    s = result["stiffness"]
    said.append(
        f"Stiffness, the fastest rate of the equations: {s['middle_max']:.2g} per second at most in the middle bowl,"
        f" {s['middle_median']:.2g} at most times, {s['drawn_max']:.3g} at most in drawn bowls. Mild, which is why"
        " explicit methods compete here."
    )
    slopes = ", ".join(f"{x:.2f}" for x in result["order"]["order"][:5])
    said.append(f"Order of convergence between halved steps, a minute without switches: {slopes} (the method's is 4).")
    return said


def _ranking(what: str, ours: float, rivals: dict[str, float]) -> str:
    faster = [f"{n} ({ours / s:.1f}× faster)" for n, s in sorted(rivals.items(), key=lambda x: x[1]) if s < ours]
    slower = [f"{n} {s / ours:.1f}×" for n, s in sorted(rivals.items(), key=lambda x: x[1]) if s >= ours]
    return (
        f"{what}: faster than ours: {', '.join(faster) or 'none'}. Ours is faster than: {', '.join(slower) or 'none'}."
    )


def _aims(solvers: Told, rivals: dict[str, float], mine: float) -> str:
    ours = at_level(solvers[OURS], ENOUGH_K)
    through = {n: at_level(p, ENOUGH_K) for n, p in solvers.items() if n.startswith(("SciPy", "CVODE by"))}
    through = {n: p for n, p in through.items() if p}
    text = "Aims were 5× on one bowl and 20× over diffrax on ensembles."
    if ours and through:
        name = min(through, key=lambda n: through[n]["median_s"])
        text += f" Got {through[name]['median_s'] / ours['median_s']:.1f}× over the best packaged solver ({name});"
    batches = {n: s / mine for n, s in rivals.items() if n.startswith("diffrax")}
    if batches:
        best = min(batches, key=lambda n: batches[n])
        text += f" {batches[best]:.1f}× over diffrax at its best ({best})"
        plain = [f"{n} {x:.0f}×" for n, x in batches.items() if n.endswith("vmap")]
        text += f", plain vmap: {', '.join(plain)}." if plain else "."
    return text


def _told(result: Told) -> list[str]:
    m, v = result["machine"], result["versions"]
    busy = {name: x for name, x in result["others"].items() if x > BUSY}
    lines = [
        f"{m['date']}, {m['processor']} {m['architecture']}, {m['cores']} cores, Python {m['python']}, load before"
        f" {m['load']}, {result['mode']} run of {result['took_s']:.0f} s.",
        "Versions: " + ", ".join(f"{name} {x}" for name, x in v.items()) + ".",
        f"Equations in JAX against the compiled ones: worst relative difference {result['equations']:.1g}. Reference"
        f" of the ensemble against DOP853: {result['many']['reference_error_K']:.1g} K.",
    ]
    if busy:
        told = ", ".join(f"{name} {x:.1f}" for name, x in busy.items())
        lines.append(f"DISTURBED: other processes kept cores busy during these parts (cores on average): {told}.")
    else:
        lines.append(f"Quiet: no part had more than {BUSY:g} of a core taken by other processes.")
    return lines


def _wrapped(text: str, width: int) -> list[str]:
    lines, line = [], ""
    for word in text.split():
        if line and len(line) + 1 + len(word) > width:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, line]


def _line(cells: Cells, widths: Iterable[int]) -> str:
    return "  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)).rstrip()


def text(result: Told, width: int = 110) -> str:
    """Return everything as plain text of at most so many columns."""
    out = ["temperbench benchmark", *(line for told in _told(result) for line in _wrapped(told, width))]
    for title, head, rows in _tables(result):
        out += ["", title]
        columns = list(zip(head, *rows, strict=True))
        widths = [max(len(c) for c in column) for column in columns]
        out += [_line(cells, widths) for cells in (head, *rows)]
    out.append("")
    for said in _sentences(result):
        out += _wrapped("- " + said, width)
    return "\n".join(out)


def markdown(result: Told) -> str:
    """Return everything as the block of docs/bench.md."""
    out = [line for told in _told(result) for line in [*_wrapped(told, 118), ""]]
    for title, head, rows in _tables(result):
        out += [f"### {title}", "", f"| {' | '.join(head)} |", f"|{' --- |' * len(head)}"]
        out += [f"| {' | '.join(row)} |" for row in rows]
        out.append("")
    out += ["### In words", ""]
    out += [line for said in _sentences(result) for line in _wrapped("- " + said, 118)]
    return "\n".join(out)
