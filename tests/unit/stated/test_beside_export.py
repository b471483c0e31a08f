"""What an app states beside the same device's export. Every value below follows from the few
numbers of its recording by hand."""

import numpy as np
import pytest

from strapline.ground.records.stated import Stated
from strapline.method.signal.trace import Trace
from strapline.method.stated.beside_export import beside_export

TEN_MINUTES = np.arange(600.0)


def told(trace: Trace, **figures: float) -> list[str]:
    return [held.sentence for held in beside_export("Band", Stated(**figures), trace)]


def level(rate: float, seconds: int) -> np.ndarray:
    return np.full(seconds, rate)


def test_what_rounding_parts_agrees() -> None:
    trace = Trace(TEN_MINUTES, np.concatenate([level(120, 240), level(121, 360)]))
    held = beside_export("Band", Stated(average_bpm=121, maximum_bpm=121, duration=600), trace)
    assert [one.measured for one in held] == [pytest.approx(120.6), 121, 600]
    assert [one.sentence for one in held] == [
        "Band’s app says 121 bpm on average; its export averages 120.6 over the same time.",
        "Band’s app says 121 at the highest; the highest value of its export is 121.",
        "Band’s app says 10:00; its export lasts 10:00.",
    ]


def test_a_difference_that_nothing_explains_is_told_as_such() -> None:
    assert told(Trace(TEN_MINUTES, level(120, 600)), average_bpm=124) == [
        "Band’s app says 124 bpm on average, 4 more than its export as a whole (120.0). Nothing in "
        "the export explains that."
    ]


def test_a_stated_tenth_is_held_to_a_tenth() -> None:
    trace = Trace(TEN_MINUTES, np.concatenate([level(120, 570), level(121, 30)]))
    assert "0.2 more" in told(trace, average_bpm=120.3)[0]
    assert "more" not in told(trace, average_bpm=120.1)[0]


def test_a_later_end_is_seen() -> None:
    rate = np.concatenate([level(120, 300), level(140, 300)])
    average, highest, length = told(
        Trace(TEN_MINUTES, rate), average_bpm=130, maximum_bpm=140, duration=300
    )
    assert average == (
        "Band’s app says 130 bpm on average, 10 more than its export over the same time (120.0). "
        "The whole export, 10:00, averages 130.0 bpm: the app’s average may end later than the "
        "time it states."
    )
    assert highest.endswith("After the time that the app states, the export has 140.")
    assert length == "Band’s app says 5:00; its export goes on for 5 min after that."


def test_pauses_that_the_app_leaves_out_are_seen() -> None:
    time = np.concatenate([np.arange(300.0), np.arange(400.0, 700.0)])
    rate = np.concatenate([level(120, 300), level(140, 300)])
    average, length = told(Trace(time, rate), average_bpm=130, duration=600)
    assert average.endswith("its export averages 130.0 over the same time.")
    assert length == (
        "Band’s app says 10:00; its export lasts 11:40, 1 min 40 s of that in gaps: the app leaves "
        "pauses out."
    )


def test_pauses_that_the_app_counts_in_are_seen() -> None:
    time = np.concatenate([np.arange(300.0), np.arange(600.0, 700.0)])
    rate = np.concatenate([level(120, 300), level(160, 100)])
    assert "straight lines through its gaps" in told(Trace(time, rate), average_bpm=134)[0]


def test_values_counted_alike_whatever_their_time_are_seen() -> None:
    time = np.concatenate([np.arange(200.0), np.arange(200.0, 400.0, 5)])
    rate = np.concatenate([level(120, 200), level(160, 40)])
    assert "each value counted once" in told(Trace(time, rate), average_bpm=127)[0]


def test_an_export_that_ends_early_is_told() -> None:
    trace = Trace(TEN_MINUTES, level(120, 600))
    average, length = told(trace, average_bpm=120, duration=660)
    assert average.endswith("its export averages 120.0 as far as it goes.")
    assert length == "Band’s app says 11:00; its export ends 1 min before that."


def test_an_export_without_a_value_says_nothing() -> None:
    assert told(Trace(np.zeros(0), np.zeros(0)), average_bpm=120) == []
