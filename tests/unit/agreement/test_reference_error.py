"""The strap's own random error from devices worn together with it."""

import numpy as np
import pandas as pd
import pytest

from strapline.method.agreement.reference_error import reference_errors
from unit.agreement.archives import archive

SECONDS = 1800


def worn(*errors, session="s", activity="run"):
    """A session's rows, from each device's difference from the strap, by seconds."""
    names = [f"device-{place}" for place in range(len(errors))]
    rows = []
    for a, of_a in zip(names, errors, strict=True):
        same = {"session": session, "activity": activity, "device": a}
        rows.append(same | {"bias": float(np.mean(of_a))})
        for b, of_b in zip(names, errors, strict=True):
            for kind, values in (("beside", of_a), ("against", of_a - of_b)):
                spread = {"sd_of_differences": float(np.std(values, ddof=1))}
                rows += [same | {"scope": f"{kind}:{b}"} | spread] if a != b else []
    return rows


def found(*sessions, reference="strap"):
    rows = [row for own in sessions for row in own]
    names = sorted({row["session"] for row in rows})
    held = pd.DataFrame({"session": names, "reference": reference})
    return reference_errors(archive(*rows), held)


def made(seed, of_strap, of_devices, together=0.0, devices=2):
    """together: the correlation of the devices' own errors."""
    random = np.random.default_rng(seed)
    strap, common = random.normal(0, of_strap, SECONDS), random.normal(size=SECONDS)
    own = [
        np.sqrt(together) * common + np.sqrt(1 - together) * random.normal(size=SECONDS)
        for _ in range(devices)
    ]
    return worn(*(of_devices * each - strap for each in own), session=f"s-{seed:03}")


def test_it_is_what_the_differences_have_in_common():
    # Half of what two variances exceed that of the difference by is a covariance.
    random = np.random.default_rng(1)
    a, b = random.normal(size=(2, 100)) + 3 * random.normal(size=100)
    (row,) = found(worn(a, b)).to_dict("records")
    assert row["value"] ** 2 == pytest.approx(np.cov(a, b)[0, 1])
    assert (row["device"], row["sessions"]) == ("strap", 1) and np.isnan(row["low"])


@pytest.mark.parametrize("devices", [2, 3])
def test_errors_apart_are_told_apart(devices):
    held = []
    for start in range(0, 160, 8):
        sessions = [made(start + place, 2.0, 4.0, devices=devices) for place in range(8)]
        (row,) = found(*sessions).to_dict("records")
        held.append(row["low"] <= 2.0 <= row["high"])
        assert row["value"] == pytest.approx(2, abs=0.25)
    assert np.mean(held) >= 0.85


def test_wrists_that_err_together_make_it_an_upper_bound():
    (row,) = found(*(made(seed, 1.0, 8.0, together=0.3) for seed in range(8))).to_dict("records")
    # What the devices have in common is added: root(1 + .3 · 64) = 4.5.
    assert row["value"] == pytest.approx(np.sqrt(1 + 0.3 * 64), rel=0.05)
    assert row["low"] > 1


def test_below_zero_it_cannot_be_told():
    noise = np.random.default_rng(2).normal(size=(4, SECONDS))
    sessions = [worn(each, -each, session=f"s{place}") for place, each in enumerate(noise)]
    (row,) = found(*sessions).to_dict("records")
    assert np.isnan([row["value"], row["high"]]).all()


def test_one_device_alone_tells_nothing_nor_a_strap_that_nobody_names():
    assert found(worn(np.arange(9.0))).empty
    assert found(made(1, 1.0, 4.0), reference=None).empty


def test_each_activity_for_itself():
    rows = found(
        *(made(seed, 1.0, 4.0) for seed in range(3)),
        worn(*np.eye(2, 9), session="t", activity="row"),
    )
    assert rows["activity"].tolist() == ["row", "run"]
    assert rows["sessions"].tolist() == [1, 3]
