"""What is picked out of a Dataset, and what is said when it is not there."""

import numpy as np
import xarray as xr

from transport.reports.lashing import case_name, lacking, scalar, table, text_table


def test_a_variable_with_other_dimensions_is_not_taken() -> None:
    data = xr.Dataset({"a": (("x", "y"), np.arange(6.0).reshape(2, 3))})
    found = table(data, "a", "y", "x")
    assert found is not None and found.shape == (3, 2)
    assert table(data, "a", "x") is None and table(data, "b", "x") is None and text_table(data, "a", "x") is None


def test_a_scalar_is_a_variable_or_an_attribute_else_unknown() -> None:
    data = xr.Dataset({"a": 1.0, "c": ("x", [1.0])}, attrs={"b": 2.0})
    assert [scalar(data, name) for name in "ab"] == [1.0, 2.0]
    assert np.isnan(scalar(data, "c")) and np.isnan(scalar(data, "d"))


def test_names() -> None:
    assert case_name("securing earthquake (LC3)") == "LC3"
    assert case_name("cover hem") == "cover hem"
    assert lacking(xr.Dataset(attrs={"weight_kN": 1.0}), "weight_kN") == ()
    assert lacking(xr.Dataset(), "chain_length_m", "nothing_yet") == (
        "Not in this result, and so not checked here: length of the chain; nothing yet.",
    )
