"""LC4: whichever chain is lost."""

import numpy as np

from transport.load_cases.accidental import lost_envelope


def test_the_least_over_the_chains_is_left() -> None:
    force = np.array([[[5.0, 9.0]], [[7.0, 3.0]]])
    moment = np.array([[[1.0, 2.0, 3.0]], [[3.0, 2.0, 1.0]]])
    left = lost_envelope(np.array([1.0]), force, moment, 300.0)
    assert left.force_kN.tolist() == [[5.0, 3.0]]
    assert left.moment_kNm.tolist() == [[1.0, 2.0, 1.0]]


def test_an_unknown_loss_is_unknown() -> None:
    left = lost_envelope(np.array([1.0]), np.array([[[5.0]], [[np.nan]]]), np.ones((2, 1, 3)), 300.0)
    assert np.isnan(left.force_kN).all()
