"""A simulated run as JSON and as columns, in the names docs/json.md gives."""

from __future__ import annotations

from temperbench.app.plan_json import FORMAT, step_json
from temperbench.insight.simulate import SimulatedRun

__all__ = ["path_columns", "run_json"]


def run_json(run: SimulatedRun) -> dict[str, object]:
    """Return a run as plain dictionaries, lists and numbers, rounded as a plan is.

    Parameters
    ----------
    run : SimulatedRun
        A run. [-]

    Returns
    -------
    dict[str, object]
        Ready for `json.dumps`. [-]
    """
    return {
        "format": FORMAT,
        "stop_c": round(float(run.stop_c), 1),
        "limit_c": round(float(run.limit_c), 1),
        "scorch_c": round(float(run.scorch_c), 1),
        "steps": [step_json(step) for step in run.steps],
        "risk_lost": round(float(run.risk_lost), 3),
        "risk_scorch": round(float(run.risk_scorch), 3),
        "path": {
            name: [round(float(value), 1) + 0.0 for value in column] for name, column in path_columns(run).items()
        },
    }


def path_columns(run: SimulatedRun) -> dict[str, tuple[float, ...]]:
    """Return the path of a run by the names of its columns.

    Parameters
    ----------
    run : SimulatedRun
        A run. [-]

    Returns
    -------
    dict[str, tuple[float, ...]]
        Columns of one length. [-]
    """
    return {
        "t_s": run.t_s,
        "low_c": run.low_c,
        "mid_c": run.mid_c,
        "high_c": run.high_c,
        "hottest_high_c": run.hottest_high_c,
        "solid_low_pct_of_fat": run.solid_low,
        "solid_mid_pct_of_fat": run.solid_mid,
        "solid_high_pct_of_fat": run.solid_high,
    }
