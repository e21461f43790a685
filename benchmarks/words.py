"""What the results say, in words, whoever wins."""

from __future__ import annotations

from live_tables import live_findings
from one import OURS
from tables import LEVELS, Told, at_level, best_row, per_member
from task import ENOUGH_K

__all__ = ["findings", "preamble"]

BUSY = 0.3  # cores busy with other things above which a part is marked as disturbed


def preamble(result: Told) -> list[str]:
    """Return machine, versions, checks, and what else the machine was doing."""
    m, v, parts = result["machine"], result["versions"], result["parts"]
    dates = sorted(part["date"] for part in parts.values())
    when = dates[0] if dates[0] == dates[-1] else f"{dates[0]} to {dates[-1]}"
    took = sum(part["took_s"] for part in parts.values())
    said = [
        f"Measured {when}, {result['mode']} run, {took:.0f} s in all; {m['cores']}-core {m['architecture']} virtual"
        f" machine ({m['processor']}), {m['system']}, Python {m['python']}.",
        "Versions: " + ", ".join(f"{name} {x}" for name, x in v.items()) + ".",
    ]
    if "one" in result:
        apart = result["one"].get("references_differ_K")
        more = f" The two references for one bowl differ by {apart:.0e} K." if apart is not None else ""
        said.append(
            f"Equations in JAX against the compiled ones: worst difference {result['one']['equations']:.0e}.{more}"
        )
    if "many" in result:
        said.append(f"Reference of the ensemble against DOP853: {result['many']['reference_error_K']:.0e} K.")
    busy = {name: part["others"] for name, part in parts.items() if not part["others"] <= BUSY}
    if busy:
        told = ", ".join(f"{name} {x:.1f}" for name, x in busy.items())
        said.append(f"DISTURBED: other processes kept cores busy during these parts (cores on average): {told}.")
    else:
        said.append(f"Quiet: other processes took no more than {BUSY:g} of a core in any part.")
    return said


def findings(result: Told) -> list[str]:
    """Return one statement each on speed, aims, arithmetic, stiffness and order."""
    said = []
    if "one" in result:
        said += _one_bowl(result["one"]["grid"])
    if "many" in result:
        said += _ensembles(result["many"])
    if "one" in result and "many" in result:
        said.append(_aims(result))
    if "arithmetic" in result:
        said += _arithmetic(result["arithmetic"])
    return said + live_findings(result)


def _ranking(what: str, ratios: dict[str, float]) -> str:
    """Say who is faster and slower; ``ratios`` are times over ours."""
    by_time = sorted(ratios.items(), key=lambda x: x[1])
    faster = ", ".join(f"{name} ({1.0 / x:.1f}× faster)" for name, x in by_time if x < 1.0)
    slower = ", ".join(f"{name} {x:.1f}×" for name, x in by_time if x >= 1.0)
    return f"{what}: faster than ours: {faster or 'none'}. Ours is faster than: {slower or 'none'}."


def _one_bowl(solvers: Told) -> list[str]:
    said = []
    for level in LEVELS:
        found = {name: at_level(points, level) for name, points in solvers.items()}
        times = {name: point["median_s"] for name, point in found.items() if point}
        if OURS in times:
            ours = times.pop(OURS)
            ratios = {name: s / ours for name, s in times.items()}
            said.append(_ranking(f"One bowl at {level:g} K or better", ratios))
        else:
            said.append(f"One bowl: ours does not reach {level:g} K with the tolerances tried.")
    return said


def _ratios(many: Told) -> dict[str, float]:
    """Time per bowl over ours on as many cores, one where both were measured, of every solver that is right enough."""
    solvers, found = many["solvers"], {}
    for name, solver in solvers.items():
        if name != OURS and solver["error_K"] <= ENOUGH_K:
            cores = min(row["cores"] for row in solver["rows"])
            members = many["members"] if len(solver["rows"]) > 1 else None
            ours = best_row(solvers[OURS], many["members"], cores)
            found[name] = per_member(best_row(solver, members, cores)) / per_member(ours)
    return found


def _ensembles(many: Told) -> list[str]:
    said = [_ranking(f"Ensemble, worst of {many['members']} right, per bowl on as many cores", _ratios(many))]
    easier = {}
    for name, solver in many["solvers"].items():
        if not name.startswith("diffrax") and "loop" not in name:
            good = [p for p in solver["curve"] if p["error_p99_K"] <= ENOUGH_K]
            if good:
                easier[name] = min(p["median_s"] for p in good) / many["members"]
    told = ", ".join(f"{name} {1e6 * s:.0f} µs" for name, s in easier.items())
    said.append(f"If 99 of 100 bowls right to {ENOUGH_K:g} K were enough, a bowl would take on one core: {told}.")
    return said


def _aims(result: Told) -> str:
    solvers = result["one"]["grid"]
    ours = at_level(solvers[OURS], ENOUGH_K)
    through = {n: at_level(p, ENOUGH_K) for n, p in solvers.items() if n.startswith(("SciPy", "CVODE by"))}
    times = {n: p["median_s"] for n, p in through.items() if p}
    text = "Aims were 5× on one bowl and 20× over diffrax on ensembles."
    if ours and times:
        name = min(times, key=lambda n: times[n])
        text += f" Got {times[name] / ours['median_s']:.1f}× over the best packaged solver ({name})."
    ratios = {name: x for name, x in _ratios(result["many"]).items() if name.startswith("diffrax")}
    if ratios:
        best = min(ratios, key=lambda n: ratios[n])
        plain = ", ".join(f"{n} {x:.0f}×" for n, x in ratios.items() if n.endswith("vmap"))
        text += (
            f" Got {ratios[best]:.1f}× over diffrax at its best ({best}); plain vmap: {plain or 'not right enough'}."
        )
    return text


def _arithmetic(found: Told) -> list[str]:
    f, s, order = found["flops"], found["stiffness"], found["order"]
    rates, jac = (f[k] * f[f"{k}_s"] / f["run_s"] for k in ("rates", "jacobian"))
    slopes = ", ".join(f"{x:.2f}" for x in order["order"][:5])
    return [
        f"Arithmetic: {f['per_step']:.0f} operations a step, {f['steps']} steps, {f['operations'] / 1e6:.2f} million a"
        f" bowl, {f['rate'] / 1e9:.2f} Gflop/s, {100 * f['share']:.1f} % of the {f['peak'] / 1e9:.1f} Gflop/s that a"
        " matrix product reaches on one core.",
        f"Where the time of a run goes: rates ({f['rates']} calls of {1e6 * f['rates_s']:.2f} µs) {100 * rates:.0f} %,"
        f" Jacobian ({f['jacobian']} calls of {1e6 * f['jacobian_s']:.2f} µs) {100 * jac:.0f} %, the rest (linear"
        f" algebra, stages, control) {100 * (1 - rates - jac):.0f} %.",
        f"Stiffness, the fastest rate of the equations: {s['middle_max']:.2g} per second at most in the middle bowl,"
        f" {s['middle_median']:.2g} at most times, {s['drawn_max']:.3g} at most in drawn bowls.",
        f"Order of convergence between halved steps, a minute without switches: {slopes} (the method's is 4).",
    ]
