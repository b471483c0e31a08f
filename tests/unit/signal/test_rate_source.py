"""RR intervals that are patchy beside rates that are whole."""

import numpy as np
import pytest

from intakes import recording as entry
from strapline.ground.settings import Plausibility, RrIntervals
from strapline.method.signal.normalised import normalise
from unit.signal.test_normalised import beats, samples

LENGTH = 600


def rr_of(seconds: int) -> list[float]:
    count = int(seconds / 0.8)
    return [800 + 15 * np.sin(n / 3) for n in range(count)]


def made(covered: int, rate: float = 75, **facts: object):
    facts = {"role": "reference", **facts}
    frame = samples(range(LENGTH), [rate + n % 2 for n in range(LENGTH)])
    return normalise(frame, beats(rr_of(covered)), entry(**facts), Plausibility(), RrIntervals())


def test_rates_fill_the_stretches_that_the_intervals_leave_out() -> None:
    result = made(360)
    kept = result.frame[result.frame["flag"] == "kept"]
    seconds = (kept["time"] - kept["time"].iloc[0]).dt.total_seconds().to_numpy()
    assert np.diff(seconds).max() <= 2
    assert seconds[-1] >= LENGTH - 3
    assert result.rate_from == "beats"
    used = result.samples.used
    assert used == kept["artefact_share"].isna().sum() == pytest.approx(240, abs=6)
    assert "cover 60 % of it; in the other 239 s its own averaged" in (result.said or "")


def test_intervals_that_cover_nearly_all_are_used_alone() -> None:
    result = made(560)
    assert (result.rate_from, result.samples.used, result.said) == ("beats", 0, None)


def test_intervals_that_cover_little_give_way_to_the_rates() -> None:
    result = made(200)
    assert (result.rate_from, result.samples.used) == ("samples", LENGTH)
    assert "cover only 33 %" in (result.said or "")


def test_rates_of_another_sensor_fill_nothing() -> None:
    result = made(360, rate=120)
    assert (result.rate_from, result.samples.used) == ("beats", 0)
    assert "differ from them by 45 bpm" in (result.said or "")


@pytest.mark.parametrize(("use", "rate_from"), [("rr", "beats"), ("rate", "samples")])
def test_a_card_may_force_either(use: str, rate_from: str) -> None:
    for covered in (100, 360, 600):
        result = made(covered, use=use)
        assert (result.rate_from, result.said) == (rate_from, None)
    assert made(600, use=use, role="test").rate_from == rate_from


def test_a_card_that_wants_what_is_not_there_is_told() -> None:
    assert "wants its RR intervals, and it has none" in (made(0, use="rr").said or "")
