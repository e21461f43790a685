"""Stands in for the engine in tests of check, files and faces: instant, and answers with ready-made results."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pytest

from sample_method import sample_method
from sample_plan import sample_plan, sample_plan_by_eye
from temperbench.app.results import BurstPlan, MethodPlan, RescueRow
from temperbench.insight.job import BowlJob
from temperbench.insight.simulate import SimulatedRun

__all__ = ["Calls", "put_in_place", "sample_run"]


class Calls:
    """What the faces asked of the engine, in order."""

    def __init__(self) -> None:
        """Begin with nothing asked."""
        self.jobs: list[BowlJob] = []
        self.asked: list[dict[str, object]] = []

    def plan_bursts(
        self, job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None
    ) -> BurstPlan:
        """Answer with the usual plan, or the one by eye."""
        self._note(job, members=members, seed=seed)
        if progress is not None:
            progress("Finding the bursts")
        return sample_plan_by_eye() if job.thermometer == "none" else sample_plan()

    def plan_by_method(
        self, job: BowlJob, *, members: int = 512, seed: int = 1, progress: Callable[[str], None] | None = None
    ) -> MethodPlan:
        """Answer with the usual plan of a method."""
        self._note(job, members=members, seed=seed)
        if progress is not None:
            progress("Melting and seeding")
        return sample_method()

    def rescue_rows(self, job: BowlJob, at_c: float) -> RescueRow:
        """Answer with buttons below 40 °C and with a full melt above."""
        self._note(job, at_c=at_c)
        if at_c >= 40.0:
            return RescueRow(at_c, None, None, None, "It would take more than 250 g: melt it fully, then seed it.")
        return RescueRow(at_c, 170, 34.1, 3.0, "Stir in 60 g, 60 g and 50 g, each until it is gone.", (60, 60, 50))

    def simulate_run(
        self, job: BowlJob, bursts: Sequence[tuple[float, float, float]], members: int = 512, seed: int = 1
    ) -> SimulatedRun:
        """Answer with the usual plan's way up."""
        self._note(job, bursts=tuple(bursts), members=members, seed=seed)
        return sample_run()

    def _note(self, job: BowlJob, **asked: object) -> None:
        self.jobs.append(job)
        self.asked.append(asked)


def sample_run() -> SimulatedRun:
    """Return a run along the usual plan's way up."""
    plan = sample_plan()
    up = plan.up
    low, mid, high = (tuple(round(share / (1 + t), 1) for t in up.t_s) for share in (30.0, 40.0, 50.0))
    return SimulatedRun(
        up.t_s,
        up.low_c,
        up.mid_c,
        up.high_c,
        up.hottest_c,
        low,
        mid,
        high,
        plan.bursts,
        0.0924,
        0.0556,
        34.0,
        34.5,
        55.0,
    )


def put_in_place(monkeypatch: pytest.MonkeyPatch) -> Calls:
    """Put the stand-in where the use cases call the engine, and let faults show themselves."""
    calls = Calls()
    monkeypatch.setattr("temperbench.app.plan_bowl.plan_bursts", calls.plan_bursts)
    monkeypatch.setattr("temperbench.app.plan_method.plan_by_method", calls.plan_by_method)
    monkeypatch.setattr("temperbench.app.rescue_bowl.rescue_rows", calls.rescue_rows)
    monkeypatch.setattr("temperbench.app.simulate_bowl.simulate_run", calls.simulate_run)
    monkeypatch.setattr("temperbench.faces.cli.announce.is_cold", lambda: False)
    monkeypatch.setenv("TEMPERBENCH_TRACE", "1")
    return calls
