"""Plans of a method made by hand, for tests of faces: a usual one, and one whose every figure is awkward."""

from __future__ import annotations

from dataclasses import replace

from temperbench.app.results import (
    Band,
    Comparison,
    Fault,
    Leg,
    MethodPlan,
    MethodRow,
    MethodStep,
    PathPhase,
    ReadsDo,
    SettingTest,
    Warning_,
    Workable,
)

__all__ = ["sample_comparison", "sample_method", "sample_method_awkward"]


def sample_comparison() -> Comparison:
    """Return a comparison with a row that can be done and one that cannot."""
    done = MethodRow(
        name="seed with butter crystals", method="seed", seed_with="butter-crystals", why_not=None,
        total_min=Band(26.9, 31.44, 37.4), hands_on_min=Band(16.9, 21.4, 27.4), risk_lost=0.0215, risk_scorch=0.0,
        crystals_pct_of_fat=Band(0.9, 1.6, 2.2), seed_g=10, keeps_risks=True, skill="new", least_g=100.0, most_g=8000.0,
        washing_up=("bowl", "spatula"), reason="the quickest",
    )  # fmt: skip
    not_done = MethodRow(
        name="microwave", method="microwave", seed_with=None, why_not="it needs a microwave oven", total_min=None,
        hands_on_min=None, risk_lost=None, risk_scorch=None, crystals_pct_of_fat=None, seed_g=None, keeps_risks=False,
        skill="new", least_g=100.0, most_g=3000.0, washing_up=(), reason="it needs a microwave oven",
    )  # fmt: skip
    risky = replace(done, name="seed with a block", seed_with="block", keeps_risks=False, risk_lost=0.21, seed_g=600)
    return Comparison(
        "1000 g dark chocolate: which method?", done.name, f"{done.name} keeps both risks.", (done, risky, not_done),
        ("A note.",), (Warning_("low-fat", "Thick."),), 128,
    )  # fmt: skip


def sample_method() -> MethodPlan:
    """Return a seeded plan with every kind of row."""
    none = Band(0.0, 0.0, 0.0)
    clear = MethodStep(
        "clear", "Melt 760 g fully", "Over a bath of 55 °C, not boiling; stir often.", None, Band(500.0, 690.0, 1000.0),
        "rises to", 45.0, Band(44.7, 45.0, 45.3), none, hands_on=True,
    )  # fmt: skip
    rest = MethodStep(
        "clear", "Keep it there 10 min", "", None, Band(600.0, 600.0, 600.0), "", None, Band(45.0, 45.0, 45.0), none,
        hands_on=False,
    )  # fmt: skip
    first = MethodStep(
        "seed", "Stir in the first portion, 80 g", "Until no lump is left.", 80, Band(30.0, 45.0, 60.0), "", None,
        Band(40.1, 40.7, 41.2), Band(0.1, 0.5, 1.2), hands_on=True,
    )  # fmt: skip
    when = "after the second portion"
    return MethodPlan(
        title="1000 g dark chocolate, full melt and seed, steel bowl", method="seed", clear_c=45.0, draw_down_c=None,
        lift_c=None, work_from_c=31.0, work_to_c=32.0, limit_c=34.5, scorch_c=55.0, steps=(clear, rest, first),
        portions_g=(80, 80, 80), seed_g=240, melt_g=760,
        reads_then=(
            ReadsDo(when, None, 34.7, "no more seed", 0, None, "lumps hardly melt any more"),
            ReadsDo(when, 34.7, 36.0, "stir in 50 g", 50, None, "the portion took minutes to go"),
            ReadsDo(when, 36.0, None, "stir in 85 g", 85, None, "the portion was gone in about a minute"),
        ),
        faults=(Fault("lumps stay", "too cold before they had gone", "warm by half a degree"),),
        risk_lost=0.0215, risk_scorch=0.0, risk_asked=0.05, risk_members=512, thermometer="probe",
        crystals_pct_of_fat=Band(0.9, 1.6, 2.2), total_min=Band(26.9, 31.4, 37.4), hands_on_min=Band(16.9, 21.4, 27.4),
        path=Leg((0.0, 690.0, 1290.0, 1590.0, 1890.0), (18.0, 44.7, 44.7, 32.0, 31.0), (20.0, 45.0, 45.0, 33.4, 32.0),
                 (22.0, 45.3, 45.3, 34.2, 32.6), (22.0, 45.3, 45.3, 34.2, 32.6)),
        phases=(PathPhase("clear", 0.0, 1290.0), PathPhase("seed", 1290.0, 1590.0), PathPhase("keep", 1590.0, 1890.0)),
        draw_down_min=Band(0.0, 5.0, 9.0), setting_test=SettingTest("paper", 4.0, 1.8, 4.2),
        workable=Workable(10.0, 16.0, 25.0, "too thick"), held=Workable(45.0, 115.0, 397.0, "too thick"),
        washing_up=("bowl", "spatula", "thermometer"), defaults_used=("Room: 20 °C (17 to 24).",),
        warnings=(Warning_("may-stay-lumpy", "About 6 % of bowls end with lumps: sieve them out."),),
        sources=("method.seed.left", "bowl.lost"), rules=("Weigh 240 g of seed and some spare.",),
        cautions=("Hot bowl: dry cloth or gloves.",), holds_for=("1000 g dark in all",),
    )  # fmt: skip


def sample_method_awkward() -> MethodPlan:
    """Return a plan by eye whose figures need rounding, with what can be missing missing."""
    plan = sample_method()
    band = Band(0.04, 1.25, 3.333)
    odd = replace(
        plan.steps[2], phase="lift", do="Warm it", detail="", amount_g=7, seconds=band, until="rises to", until_c=31.26,
        after_c=Band(31.0, 31.26, 31.55), crystals_pct_of_fat=band, hands_on=False,
    )  # fmt: skip
    return replace(
        plan, title="1234.6 g milk chocolate", method="tabling", clear_c=None, draw_down_c=26.55, lift_c=29.449,
        work_from_c=29.04, work_to_c=30.05, limit_c=32.04, scorch_c=49.96, steps=(odd,), portions_g=(), seed_g=None,
        melt_g=1235, reads_then=(ReadsDo("on the slab", None, None, "go on", None, 33, ""),), faults=(),
        risk_lost=0.12345, risk_scorch=0.00951, risk_asked=0.0333, risk_members=96, thermometer="none",
        crystals_pct_of_fat=band, total_min=band, hands_on_min=band, path=Leg((0.0, 61.26), *4 * ((20.04, 31.26),)),
        phases=(PathPhase("lift", 0.04, 61.26),), draw_down_min=band,
        setting_test=SettingTest("knife", 7.04, 1.96, 9.99),
        workable=Workable(0.04, 1.25, 3.333, "too cold"), held=Workable(0.04, 1.25, 3.333, "too cold"),
        washing_up=("slab",), defaults_used=(), warnings=(), sources=(), rules=(), cautions=(), holds_for=(),
    )  # fmt: skip
