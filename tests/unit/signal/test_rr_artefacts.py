import neurokit2
import numpy as np
import pytest

from benchmarks.strap_faults import HEARTS, KINDS, heart, with_artefacts
from real.paired_beats import recordings
from strapline.method.signal.rr_artefacts import classify_rr


def test_the_worked_example(worked_example):
    # rr_artefact_demo.csv: 1624 is a missed beat; 405 and 420 are one beat read as two; 560 is an
    # early beat and 1090 the pause after it. As published, the pause carries the word 'ectopic',
    # and the interval after an extra beat, 828, which is good, is called long.
    rr = worked_example("rr_artefact_demo.csv")["rr_ms"].to_numpy()
    kinds = classify_rr(rr)
    found = {int(rr[place]): kinds[place] for place in np.flatnonzero(kinds != "normal")}
    assert found == {
        1624: "missed",
        405: "extra",
        420: "short",
        828: "long",
        560: "short",
        1090: "ectopic",
    }


def by_neurokit(rr_ms):
    beats = np.concatenate([[0], np.cumsum(np.round(rr_ms))]).astype(int)
    found, _ = neurokit2.signal_fixpeaks(
        beats, sampling_rate=1000, method="Kubios", iterative=False
    )
    kinds = np.full(len(rr_ms), "normal", dtype=object)
    for kind in ("longshort", "extra", "missed", "ectopic"):
        places = np.array(found[kind], dtype=int) - 1
        kinds[places[places >= 0]] = kind
    return kinds


def as_published(rr_ms):
    kinds = classify_rr(rr_ms, lowest_threshold_ms=0)
    return np.where(np.isin(kinds, ["long", "short"]), "longshort", kinds)


def agreement(series):
    ours = np.concatenate([as_published(rr) for rr in series])
    theirs = np.concatenate([by_neurokit(rr) for rr in series])
    either = (ours != "normal") | (theirs != "normal")
    return np.mean(ours == theirs), np.mean((ours == theirs)[either])


def test_as_another_implementation_on_simulated_artefacts():
    series = [
        np.round(with_artefacts(heart(name, 900, "library"), kind, 0.02, "library").rr_ms)
        for name in HEARTS
        for kind in KINDS
    ]
    of_all, of_artefacts = agreement(series)
    assert of_all > 0.997
    assert of_artefacts > 0.95


def test_as_another_implementation_on_real_beats():
    of_all, of_artefacts = agreement([np.diff(beats.seconds) * 1000 for beats in recordings()])
    assert of_all > 0.997
    assert of_artefacts > 0.85  # two minutes are little for a threshold over 91 beats


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", ["rest", "steep onsets", "steady work", "intervals"])
def test_inserted_artefacts_are_found_and_few_others(name, kind):
    series = with_artefacts(heart(name, 1800, "unit"), kind, 0.02, "unit")
    found = classify_rr(series.rr_ms) != "normal"
    assert found[series.wrong].mean() > 0.93
    assert found[~series.wrong].mean() < 0.01


@pytest.mark.parametrize("kind", ["missed", "extra"])
def test_inserted_artefacts_are_named(kind):
    series = with_artefacts(heart("intervals", 1800, "unit"), kind, 0.02, "unit")
    kinds = classify_rr(series.rr_ms)[series.wrong]
    share = 1.0 if kind == "missed" else 0.5  # of the two halves, the first has the name
    assert np.mean(kinds == kind) == pytest.approx(share, abs=0.05)


def test_an_early_beat_is_ectopic():
    series = with_artefacts(heart("steady work", 1800, "unit"), "ectopic", 0.02, "unit")
    kinds = classify_rr(series.rr_ms)[series.wrong]
    assert np.mean(kinds == "ectopic") == pytest.approx(0.5, abs=0.05)


def test_strong_sinus_arrhythmia_is_no_artefact():
    rr = np.diff(heart("rest, strong sinus arrhythmia", 1800, "unit")) * 1000
    assert np.ptp(rr) > 500
    assert np.mean(classify_rr(rr) != "normal") < 0.005


def test_without_a_lowest_threshold_small_changes_at_work_are_artefacts():
    rr = np.diff(heart("steady work", 1800, "unit")) * 1000
    assert np.mean(classify_rr(rr, 0) != "normal") > 0.01
    assert np.mean(classify_rr(rr) != "normal") < 0.001


@pytest.mark.parametrize("rr", [[], [800.0], [800, 810], [800.0] * 200])
@pytest.mark.parametrize("lowest", [0, 50])
def test_little_or_even_input_is_normal(rr, lowest):
    kinds = classify_rr(np.array(rr), lowest)
    assert list(kinds) == ["normal"] * len(rr)


def test_one_spoilt_interval_in_a_perfectly_even_series_is_found():
    rr = np.full(100, 800.0)
    rr[50] = 1600
    for lowest, kind in ((50, "missed"), (0, "long")):
        kinds = classify_rr(rr, lowest)
        assert list(np.flatnonzero(kinds != "normal")) == [50]
        assert kinds[50] == kind


def test_nothing_but_artefacts_gives_words_and_no_warning():
    # With no good beat to measure by, the thresholds follow the noise; `reference_check` has the
    # rates and their steps to go by.
    rr = np.random.default_rng(5).uniform(250, 2000, 300)
    assert set(classify_rr(rr)) <= {"normal", "ectopic", "missed", "extra", "long", "short"}
