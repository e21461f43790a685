"""The ten observations behind the crystal model, and what else practice and print say of smears, bowls and seeds."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from temperbench.foundation.evidence import number
from temperbench.kitchen.members import nominal_row, settled_solids
from temperbench.matter.flow import crystals_at_ratio
from temperbench.matter.kinetics import time_to_form_six, unstable_lifetime
from temperbench.matter.thermal import chocolate_latent_heat
from validation_tables.page import Check, percent, table
from validation_tables.published import outcomes
from validation_tables.smears import (
    cooling_slope,
    held_minutes,
    isothermal,
    lump_times,
    minutes_to,
    seeded,
    set_minutes,
    unheated_minutes,
)

__all__ = ["closed_checks", "crystal_checks", "kept_after", "seed_range", "smear_table"]

GREWELING = "Greweling, article on tempering"
PRACTICE = "common practice"
CRYSTALS = (0.0, 0.005, 0.01, 0.02, 0.03, 0.05)
DAY = 86400.0


def _minutes(values: list[float]) -> str:
    return " / ".join(f"{v:.1f}" if np.isfinite(v) else "never" for v in values) + " min"


def smear_table() -> str:
    """Return setting times of smears from bowls with more and more crystals."""
    lines = []
    for kind in ("dark", "milk", "white"):
        for film, where in (("knife", "1 mm on a palette knife"), ("paper", "0.5 mm on paper")):
            times = [set_minutes(kind, x, film) for x in CRYSTALS]
            lines.append((kind, where, *(f"{t:.1f}" for t in times)))
    return table(("Kind", "Smear, 20 °C", *(f"{100 * x:g} %" for x in CRYSTALS)), lines)


def _thick_at() -> float:
    kappa = number("flow.kappa")
    return float(crystals_at_ratio(number("bowl.thick_ratio"), np.array([0.34]), np.array([kappa]))[0])


def seed_range(hot_c: float = 45.0) -> tuple[float, float]:
    """Shares of the batch as seeds that leave 1 to 9 % of the fat as crystals."""
    shares = np.linspace(0.05, 0.5, 451)
    good = [s for s in shares if 0.01 <= seeded(hot_c, float(s))[1] <= 0.09]
    return float(min(good)), float(max(good))


def kept_after(temperature: float) -> float:
    """What is left of 2 % of the fat as crystals after two minutes at a temperature."""
    return float(isothermal(temperature, 0.02, 2.0, 0.0)[1][-1])


def _smears() -> list[Check]:
    one = set_minutes("dark", 0.01)
    usual = [set_minutes("dark", x) for x in (0.02, 0.03)]
    none = [set_minutes("dark", 0.0, film) for film in ("knife", "paper")]
    longer = [set_minutes(kind, 0.01) / one for kind in ("milk", "white")]
    paper = [set_minutes("dark", x, "paper") for x in (0.02, 0.03)]
    return [
        Check("O1: dark, thin smear on a palette knife, about 1 % of the fat as crystals", "sets within about 7 min",
              3.0, 7.0, (one,), f"{one:.1f} min", "read", GREWELING, "crystals.growth"),
        Check("O2: in temper (2 and 3 %), palette knife", "3 to 5 min", 3.0, 5.0, tuple(usual), _minutes(usual),
              "practice", PRACTICE, "crystals.growth"),
        Check("O3: no crystals: knife, paper", "still wet at 10 to 15 min", 10.0, 60.0, tuple(none), _minutes(none),
              "practice", PRACTICE, "crystals.growth_unstable_ratio, crystals.nucleation_unstable"),
        Check("Milk and white against dark, knife, 1 %", "a little longer (no figure given)", 1.001, 99.0,
              tuple(longer), " and ".join(f"{x:.2f}" for x in longer) + " times", "read", GREWELING,
              "kinetics.growth_factor.milk, kinetics.growth_factor.white"),
        Check("Smear on paper, in temper (2 and 3 %)", "2 to 3 min", 2.0, 3.0, tuple(paper), _minutes(paper),
              "practice", PRACTICE),
    ]  # fmt: skip


def _bowls() -> list[Check]:
    thick = _thick_at()
    loose = [unheated_minutes(x, thick) for x in (0.01, 0.02, 0.03)]
    held = [held_minutes(t, 0.01, thick) for t in (31.0, 31.5, 32.0)]
    tabled = []
    for temperature in (28.0, 27.5, 27.0):
        t, stable, _ = isothermal(temperature, 0.0, 30.0, 50.0)
        tabled.append(minutes_to(t, stable, 0.01))
    return [
        Check("O4a: 1 kg at 31.5 °C, unheated, room 20 °C, from 1, 2 and 3 % crystals, until twice as thick",
              "15 to 30 min", 15.0, 30.0, tuple(loose), _minutes(loose), "practice", PRACTICE,
              "crystals.breeding, bowl.thick_ratio"),
        Check("O4b: held at 31, 31.5 and 32 °C from 1 %, until twice as thick", "1 to 2 h", 60.0, 120.0, tuple(held),
              _minutes(held), "practice", PRACTICE, "crystals.breeding, bowl.thick_ratio"),
        Check("O6: tabled at 28, 27.5 and 27 °C, until 1 % of the fat is crystals", "3 to 6 min", 3.0, 6.0,
              tuple(tabled), _minutes(tabled), "practice", PRACTICE, "crystals.nucleation"),
    ]  # fmt: skip


def _cooling() -> list[Check]:
    slopes = [cooling_slope(x) for x in (0.0, 0.005, 0.02, 0.05)]
    falls = tuple(a - b for a, b in pairwise(slopes))
    shown = " > ".join(f"{s:+.2f}" for s in slopes) + " K/min"
    t, _, solid = isothermal(16.0, 0.02, 60.0, 0.0)
    nearly = minutes_to(t, solid, 0.95 * float(solid[-1]))
    still = [float(isothermal(a, 0.0, 60.0, 0.0)[1][-1]) for a in (18.0, 22.0, 26.5)]
    return [
        Check("O5: slope at the bend of a cooling test for 0, 0.5, 2 and 5 %", "falls from untempered to over", 1e-6,
              9.0, falls, shown, "recalled", "Afoakwa et al. 2008, J. Food Eng. 89:128; Stapley et al. 1999",
              "crystals.nucleation_unstable"),
        Check("O5: slope when well tempered (2 %)", "about 0, between +1.0 (under) and -0.5 (over)", -0.5, 0.5,
              (slopes[2],), f"{slopes[2]:+.2f} K/min", "recalled", "the same; low confidence in the numbers"),
        Check("O7: well seeded (2 %) at 16 °C, 95 % of what will set", "contraction nearly over in 30 min", 0.0, 30.0,
              (nearly,), f"{nearly:.1f} min (no heat to remove)", "abstract",
              "Lovegren & Feuge 1965, J. Am. Oil Chem. Soc. 42:308"),
        Check("O8: unseeded and at rest, 18, 22, 26.5 °C, form V after 1 h", "none", 0.0, 1e-4, tuple(still),
              ", ".join(percent(x, 2) for x in still) + " of the fat", "abstract",
              "Toro-Vazquez et al. 2004, J. Am. Oil Chem. Soc. 81"),
    ]  # fmt: skip


def _slow() -> list[Check]:
    hours, years = unstable_lifetime(24.0) / 3600.0, time_to_form_six(18.0) / DAY / 365.25
    return [
        Check("O9: unstable forms at 24 °C last", "10 h", 9.9, 10.1, (hours,), f"{hours:.1f} h", "abstract",
              "Marangoni & McGauley 2003, Cryst. Growth Des. 3:95", "crystals.unstable_to_v.hours_at_24"),
        Check("O10: form V at 18 °C lasts", "more than 3 years (the line is drawn through 3)", 2.97, 1e3, (years,),
              f"{years:.2f} years", "abstract",
              "storage note in J. Am. Oil Chem. Soc. 1993", "crystals.v_to_vi.per_12k"),
    ]  # fmt: skip


def _melting() -> list[Check]:
    kept, gone = kept_after(34.0), kept_after(35.5)
    low, high = seed_range()
    soft, gone_s = lump_times()
    return [
        Check("2 % of the fat as crystals, two minutes at 34.0 °C (dark)", "still there (33.8 is form V's clear point)",
              0.015, 0.0205, (kept,), f"{percent(kept, 2)} left", "abstract", "Wille & Lutton 1966",
              "crystals.melting.v"),
        Check("The same at 35.5 °C", "gone: above about 36 °C all fat is liquid", 0.0, 0.002, (gone,),
              f"{percent(gone, 2)} left", "read", "German Crystallographic Society 2022"),
        Check("In-temper seeds in melted dark at 45 °C that leave 1 to 9 % of the fat as crystals",
              "20 to 33 % of the batch", 0.20, 0.33, (low, high), f"{percent(low)} to {percent(high)}", "practice",
              PRACTICE),
        Check("A 4 mm button at 29 °C stirred in liquid of 34 °C: soft", "about 70 s (60 to 80)", 60.0, 80.0, (soft,),
              f"{soft:.0f} s", "assumed", "estimate for a button of this size, not timed", "bowl.lump"),
        Check("The same button: gone", "about 140 s (120 to 160)", 120.0, 160.0, (gone_s,), f"{gone_s:.0f} s",
              "assumed", "the same estimate", "bowl.lump"),
    ]  # fmt: skip


def crystal_checks() -> list[Check]:
    """Return O1 to O10 and the checks beside them."""
    return [*_smears(), *_bowls(), *_cooling(), *_slow(), *_melting()]


def _solid(temperature: float, hardness: float = 0.0, milk_share: float = 0.0) -> float:
    row, curve = nominal_row(hardness=hardness, milk_share=milk_share)
    return float(settled_solids(row[None], curve[None], np.array([temperature]))[0])


def _direct() -> dict[str, list[tuple[float, float, float]]]:
    """Expected, got and tolerance of the three closed checks that are not rows of ``tests/published``."""
    nodes = {-1.0: (0.626, 0.533, 0.233), 0.0: (0.760, 0.696, 0.450), 1.0: (0.826, 0.771, 0.577)}
    c9 = [(v, _solid(t, hardness), 0.002) for hardness, row in nodes.items()
          for t, v in zip((20.0, 25.0, 30.0), row, strict=True)]  # fmt: skip
    c9.append((0.299, _solid(31.5), 0.002))
    c10 = [(v, _solid(30.0, 0.0, y), 0.003) for y, v in ((0.0, 0.450), (0.10, 0.321), (0.18, 0.217), (0.25, 0.143))]
    rise = chocolate_latent_heat(0.34, 0.01, number("crystals.heat.v")) / number("crystals.cp")
    return {"C6": [(0.282, rise, 0.005)], "C9": c9, "C10": c10}


CLOSED = {
    "C1": ("specific heats of components, 20 °C", "derived", "Choi & Okos 1986 in ASHRAE 2006 [read]"),
    "C2": ("conductivities of components, 40 °C", "derived", "Choi & Okos 1986 in ASHRAE 2006 [read]"),
    "C3": ("densities of components, 40 °C", "derived", "Choi & Okos 1986 in ASHRAE 2006 [read]"),
    "C4": ("a mixture: heat, density, conductivity", "derived", "Choi & Okos 1986 in ASHRAE 2006 [read]"),
    "C5": ("the mixture with sugar as crystals", "derived", "the same with Mohos 2010 [read]"),
    "C6": ("1 % of the fat setting warms by 0.28 K", "derived", "heats of fusion [recalled]"),
    "C7": ("heat of fusion per fat from a full melt", "derived", "Chevalley et al. 1970 in Beckett 2009 [abstract]"),
    "C8": ("seed mix with a given melted share, 32.0 °C", "derived", "Beckett 2009 [abstract]"),
    "C9": ("solid fat of soft, medium, hard butter", "recalled", "Shukla 1995"),
    "C10": ("solid fat with milk fat, 30 °C", "derived", "Shukla 1995 [recalled] and the fitted shift"),
    "C11": ("Foubert's law, integrated", "derived", "Foubert et al. 2002 [recalled]"),
    "C12": ("Avrami's limits", "derived", "Avrami 1940 [recalled]"),
    "C13": ("times to form VI and of the unstable forms", "derived", "Ali, Cebula, Marangoni [abstract]"),
    "C14": ("viscosity ratios", "derived", "Krieger & Dougherty 1959 [recalled]"),
}  # fmt: skip


def closed_checks() -> str:
    """Return C1 to C14: how many figures, how far off the worst, and whether all lie within tolerance."""
    direct, run = _direct(), outcomes()
    lines = []
    for name, (what, mark, source) in CLOSED.items():
        own = [(abs(got - want) / tol) for want, got, tol in direct.get(name, [])]
        key = f"crystal.{name.lower()}"
        own += [o.used for o in run if o.id == key or o.id.startswith(f"{key}.")]
        good = "all within" if own and max(own) <= 1.0 else "**outside**"
        lines.append((name, what, len(own), f"{100.0 * max(own):.0f} %", good, mark, source))
    head = ("Check", "What", "Figures", "Worst, of its tolerance", "Verdict", "Mark", "Source")
    return table(head, lines)
