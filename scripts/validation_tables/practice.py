"""What common practice says of the bowl itself, beside the plan a cook gets."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.insight.carry import still
from temperbench.insight.policy import follow
from temperbench.kitchen.bowls import Bowls
from temperbench.kitchen.members import draw, nominal
from temperbench.kitchen.parcel import parcel_states, run_parcels, time_to_solid
from temperbench.matter.composition import practice_ceiling
from temperbench.matter.crystals import N5, TEMP, X5
from validation_tables.cases import KINDS, case, default_job, plan, run_fixed, stir_after
from validation_tables.page import Check, table
from validation_tables.smears import kind_row

__all__ = ["glass_table", "plan_checks", "retest"]

PRACTICE = "common practice"


def _bursts() -> list[Check]:
    bursts = [float(s.seconds) for s in plan(default_job()).bursts]
    heated = [b for b in bursts if b > 0.0]
    shown = " / ".join(f"{b:.0f}" for b in bursts) + " s"
    growth = max([b - a for a, b in pairwise(bursts)], default=0.0)
    return [
        Check("1 kg dark, 1000 W, thin plastic: first burst", "about a minute", 45.0, 75.0, (heated[0],),
              f"{heated[0]:.0f} s", "practice", PRACTICE),
        Check("Bursts after it", "10 to 15 s, at the end a few seconds or only stirring", 10.0, 15.0,
              tuple(heated[1:-1]), shown, "practice", PRACTICE),
        Check("Last step", "a few seconds or only stirring", 0.0, 10.0, (bursts[-1],), f"{bursts[-1]:.0f} s",
              "practice", PRACTICE),
        Check("Bursts never grow", "0 s", -300.0, 0.0, (growth,), f"largest step up {max(growth, 0.0):.0f} s",
              "practice", PRACTICE),
    ]  # fmt: skip


def _temperatures() -> list[Check]:
    found = []
    for kind in KINDS:
        p = plan(default_job(kind))
        low, high = practice_ceiling(kind)
        found.append(Check(
            f"{kind}: the plan stops at, never above", f"{low:g} to {high:g} °C", 0.0, high + 0.05, (p.stop_c,),
            f"{p.stop_c:.1f} °C", "practice", PRACTICE,
        ))  # fmt: skip
        found.append(Check(
            f"{kind}: crystals go at", f"{low:g} to {high:g} °C", low - 0.05, high + 0.05, (p.limit_c,),
            f"{p.limit_c:.1f} °C", "practice", PRACTICE, "" if kind == "dark" else "crystals.milk_fat_shift",
        ))  # fmt: skip
    return found


def retest(minutes: float = 5.0) -> tuple[float, float]:
    """Setting times on paper of a slightly hot bowl (34.3 °C, 1 %), at once and after some minutes unheated. [min]"""
    row, curve, _ = kind_row("dark", top=0.75)
    start = parcel_states(34.3, 0.01, 3.0)
    later = run_parcels(start, row[None], curve[None], np.array([20.0]), [0.0, 60.0 * minutes],
                        number("bowl.shear.hand"))[0, 1]  # fmt: skip
    film, curve, _ = kind_row("dark", top=number("film.paper.loss"))
    times = []
    for heat, crystals, sites in ((34.3, 0.01, 3.0), (later[TEMP], later[X5], later[N5])):
        y = parcel_states(heat, crystals, sites)
        found = time_to_solid(y, film[None], curve[None], np.array([20.0]), number("film.set"), 3600.0)
        times.append(float(found[0]) / 60.0)
    return times[0], times[1]


def _after() -> list[Check]:
    p = plan(default_job())
    test, work, held = p.setting_test, p.workable, p.held
    first, again = retest()
    rescue = [r for r in p.rescue if r.add_g]
    few = [float(r.add_g or 0) for r in rescue if r.at_c <= 35.0]
    grams = [float(r.add_g or 0) for r in rescue]
    steps = tuple(b - a for a, b in pairwise(grams))
    return [
        Check("Planned bowls, smear on paper at 20 °C: set by", "2 to 3 min", 2.0, 3.0, (test.low_min, test.high_min),
              f"{test.low_min:.1f} to {test.high_min:.1f} min (the card asks for {test.pass_min:.1f})", "practice",
              PRACTICE),
        Check("Planned bowl, unheated, workable", "15 to 30 min", 15.0, 30.0, (work.mid,),
              f"{work.mid:.0f} min ({work.low:.0f} to {work.high:.0f}), after {p.draw_down_min.mid:.0f} min of drawing "
              "down", "practice", PRACTICE),
        Check("Planned bowl, held at working temperature", "1 to 2 h, with correction", 60.0, 120.0, (held.mid,),
              f"{held.mid:.0f} min ({held.low:.0f} to {held.high:.0f}), uncorrected", "practice", PRACTICE),
        Check("Lines (slightly hot): wait a few minutes, test again", "sets sooner (no figure given)", 0.0, 0.999,
              (again / first,), f"{first:.1f} min, after 5 min {again:.1f} min", "practice", PRACTICE),
        Check("Slightly too hot (35 °C): stir in", "a few more buttons (taken as up to a tenth)", 5.0, 100.0,
              tuple(few), " and ".join(f"{g:.0f}" for g in few) + " g per kg", "practice", PRACTICE),
        Check("Rescue grows with temperature", "more from a hotter bowl", 1.0, 500.0, steps,
              " / ".join(f"{r.add_g} g at {r.at_c:.0f} °C" for r in rescue), "practice", PRACTICE),
    ]  # fmt: skip


def plan_checks() -> list[Check]:
    """Return the checks of the plans."""
    return [*_bursts(), *_temperatures(), *_after()]


def _glass(bowl_c: float | None, share: float | None) -> tuple[float, float]:
    """Wall over chocolate at the end of the bursts, and what five minutes of standing do to the stirred bowl. [K]"""
    job = replace(default_job(), bowl="glass", bowl_g=1200.0, bowl_c=bowl_c)
    own = case(job).known.setup
    changed = {} if share is None else {"wall_share": share}
    bowls = Bowls(still(nominal(own, **changed)))
    steps = [float(s.seconds) for s in plan(job).bursts]
    run_fixed(bowls, steps, stir_after(steps))
    wall, before = float(bowls.y[0, -1] - bowls.reading()[0]), float(bowls.temperature()[0])
    bowls.stand(300.0)
    return wall, float(bowls.temperature()[0]) - before


def glass_table(members: int) -> str:
    """Return whether a heavy glass bowl goes on heating the chocolate after the last burst."""
    lines = []
    for text, bowl_c, share in (
        ("at room temperature, wall takes 10 %", None, None), ("at room temperature, wall takes 20 %", None, 0.2),
        ("at room temperature, wall takes 30 %", None, 0.3), ("at 45 °C, wall takes 10 %", 45.0, None),
    ):  # fmt: skip
        wall, rise = _glass(bowl_c, share)
        lines.append((text, f"{wall:+.1f} K", f"{rise:+.2f} K"))
    found = case(replace(default_job(), bowl="glass", bowl_g=1200.0))
    rng = np.random.default_rng(17)
    end = follow(found.policy, Bowls(draw(found.known.setup, members, rng)), found.aims, rng)
    hotter = float(np.mean(end.bowls.y[:, -1] > end.bowls.temperature()))
    body = table(("Glass bowl of 1.2 kg, 1 kg dark", "Wall over chocolate at the end", "Five minutes later"), lines)
    told = f"Of {members} planned bowls in such glass {100.0 * hotter:.0f} % end with a wall hotter than the chocolate."
    return f"{body}\n\n{told}"
