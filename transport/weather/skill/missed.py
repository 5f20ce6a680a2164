"""Every case that passed the limit without a warning, one by one."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from transport.weather.skill.cases import Cases, LeftOut
from transport.weather.skill.issued import Issued
from transport.weather.skill.setting import Setting, Variables

__all__ = ["left_out_list", "missed_list"]


def missed_list(cases: Cases, issued: Mapping[str, Issued], setting: Setting) -> Variables:
    """Time, run, lead, what was forecast and what came, for each missed case of each kind and threshold (missed)."""
    parts = [
        _of_kind(kind, one, cases, threshold_mps)
        for kind, one in issued.items()
        for threshold_mps in setting.thresholds_mps
    ]
    return {name: (("missed",), np.concatenate([part[name] for part in parts])) for name in parts[0]}


def left_out_list(left_out: tuple[LeftOut, ...]) -> Variables:
    """The stretches of pairs that could not be scored (left_out)."""
    columns: Mapping[str, Any] = {
        "left_out_reason": np.array([one.reason for one in left_out], dtype=str),
        "left_out_from": np.array([one.first for one in left_out], dtype="datetime64[ns]"),
        "left_out_until": np.array([one.last for one in left_out], dtype="datetime64[ns]"),
        "left_out_count": np.array([float(one.pairs_count) for one in left_out]),
        "left_out_highest_mps": np.array([one.highest_mps for one in left_out]),
    }
    return {name: (("left_out",), values) for name, values in columns.items()}


def _of_kind(kind: str, one: Issued, cases: Cases, threshold_mps: float) -> dict[str, Any]:
    lost = (cases.observed_mps > threshold_mps) & ~one.warned(threshold_mps)
    order = np.flatnonzero(lost)[np.argsort(cases.time[lost], kind="stable")]
    return {
        "missed_kind": np.full(order.size, kind),
        "missed_threshold_mps": np.full(order.size, threshold_mps),
        "missed_time": cases.time[order],
        "missed_reference_time": cases.reference_time[order],
        "missed_lead_h": cases.lead_h[order],
        "missed_wind_from_deg": cases.wind_from_deg[order],
        "missed_chance_ratio": one.chance(threshold_mps)[order],
        "missed_high_mps": one.high_mps[order],
        "missed_observed_mps": cases.observed_mps[order],
    }
