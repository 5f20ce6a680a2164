"""From pairs to fits: the truth, too little, and a calibration that is no better than the forecast."""

from collections.abc import Callable

import numpy as np
import pytest
import xarray as xr

from shared.errors import InputError
from transport.weather.skill.learning import errors_of, leads_of

Make = Callable[..., xr.Dataset]


def test_each_lead_class_has_its_fit_and_the_members_get_the_spread_they_lack(make_pairs: Make) -> None:
    """Truth a = 0.5, b = 1.1, deviation 2.5 times that of the members (d = 6.25); 60 days of 4 cases, fixed seed."""
    leads = leads_of(make_pairs(60))
    assert [(lead.lead_from_h, lead.lead_until_h, lead.usable) for lead in leads] == [(0, 12, True), (12, 24, True)]
    for lead in leads:
        assert lead.together is not None and lead.scores is not None
        assert lead.together.a_mps + lead.together.b_ratio * 7.0 == pytest.approx(0.5 + 1.1 * 7.0, abs=0.4)
        assert lead.together.c_m2_per_s2 + lead.together.d_ratio * 0.5 == pytest.approx(6.25 * 0.5, rel=0.3)
        assert lead.scores.crps_calibrated_mps < lead.scores.crps_raw_mps
        assert sum(lead.scores.pit_counts) == lead.scores.cases == 240
        assert lead.scores.coverage_ratio[1] == pytest.approx(0.8, abs=0.08)
        missed = [(event.missed_raw, event.missed_calibrated) for event in lead.scores.events]
        assert sum(calibrated for _, calibrated in missed) < sum(raw for raw, _ in missed)


def test_a_sector_has_its_own_fit_or_says_why_not(make_pairs: Make) -> None:
    west = make_pairs(60, from_deg=260.0)
    (lead, _) = leads_of(west)
    assert [fit.sector_deg for fit in lead.sectors] == [(180.0, 270.0)]
    assert lead.seen == (False, False, True, False)
    assert (
        "wind from 0 to 90 deg: only 0 of at least 30 days, 0 of at least 100 cases, 0.0 of at least 6 m/s between "
        "lowest and highest gust; the fit of all directions serves, never below the forecast"
    ) in lead.said
    (mixed, _) = leads_of(make_pairs(60, from_deg=None))
    assert not mixed.sectors
    assert mixed.seen == (True,) * 4
    assert mixed.said[0].endswith("; the fit of all directions serves")


def test_too_little_fits_nothing(make_pairs: Make) -> None:
    (lead, _) = leads_of(make_pairs(20))
    assert not lead.usable
    assert lead.together is None
    assert lead.said == ("not fitted: 20 of at least 30 days", "not fitted: 80 of at least 100 cases")


def test_few_members_have_no_spread_to_learn_from(make_pairs: Make) -> None:
    (lead, _) = leads_of(make_pairs(60, members=3))
    assert lead.said == ("not fitted: 3 of at least 5 members: their spread says nothing",)


def test_a_single_forecast_still_has_an_error(make_pairs: Make) -> None:
    alone = make_pairs(60).isel(member=[0])
    alone["observed_gust_mps"] = alone["forecast_gust_mps"].isel(member=0, drop=True) + np.linspace(0.0, 2.0, 480)
    assert not any(lead.usable for lead in leads_of(alone))
    errors = errors_of(alone, 0)
    assert [error.lead_until_h for error in errors] == [12.0, 24.0]
    assert errors[0].mean_mps == pytest.approx(1.0, abs=0.01)


def test_a_forecast_that_is_already_right_is_left_alone(make_pairs: Make) -> None:
    """Members that are as good as the mast, many of them: a fit has only noise to add, and the fit says so."""
    rng = np.random.default_rng(8)
    data = make_pairs(30, members=40, leads=4)
    centre = data["forecast_gust_mps"].values.mean(axis=1)
    whole = np.maximum(centre[:, None] + rng.standard_t(3, (len(centre), 41)), 0.0)
    data["forecast_gust_mps"][:], data["observed_gust_mps"][:] = whole[:, :40], whole[:, 40]
    (lead,) = leads_of(data)
    assert lead.together is not None
    assert lead.scores is not None
    assert lead.usable == (lead.scores.crps_calibrated_mps < lead.scores.crps_raw_mps)
    assert not lead.usable
    assert lead.said[0].startswith("not to be used: on days left out its CRPS is ")


def test_order_of_cases_and_members_changes_nothing(make_pairs: Make) -> None:
    data = make_pairs(40)
    rng = np.random.default_rng(9)
    turned = data.isel(case=rng.permutation(data.sizes["case"]), member=rng.permutation(7))
    for here, there in zip(leads_of(data), leads_of(turned), strict=True):
        assert here.together is not None and there.together is not None
        assert there.together.a_mps == pytest.approx(here.together.a_mps, abs=5e-3)
        assert there.together.days == here.together.days
        assert there.scores is not None and here.scores is not None
        assert there.scores.crps_calibrated_mps == pytest.approx(here.scores.crps_calibrated_mps, rel=1e-4)
    assert errors_of(turned, 3)[0].sigma_mps == pytest.approx(errors_of(data, 3)[0].sigma_mps)


def test_the_error_is_that_of_the_control_member_alone(make_pairs: Make) -> None:
    data = make_pairs(60)
    error = (data["observed_gust_mps"] - data["forecast_gust_mps"].sel(member=2)).values[data["lead_h"].values <= 12.0]
    (found, _) = errors_of(data, 2)
    assert (found.mean_mps, found.sigma_mps) == pytest.approx((error.mean(), error.std(ddof=1)))
    with pytest.raises(InputError) as caught:
        errors_of(data, 9)
    assert str(caught.value) == (
        "decision.control_realization: the archive has no member 9; it has 0, 1, 2, 3, 4 and so on"
    )
