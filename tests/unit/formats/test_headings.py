import pytest

from strapline.reading.formats.heading import MEANINGS
from strapline.reading.formats.headings import Headings, shipped

TIME, DATE, ELAPSED, HEART_RATE, CADENCE, RR = MEANINGS


@pytest.mark.parametrize(
    ("heading", "meaning"),
    [
        ("Heart Rate (bpm)", HEART_RATE), ("heartRate", HEART_RATE), ("heart_rates", HEART_RATE),
        ("HF [1/min]", HEART_RATE), ("Herzfrequenz", HEART_RATE),
        ("Frequence cardiaque", HEART_RATE),
        ("Fréquence cardiaque (bpm)", HEART_RATE), ("Frecuencia cardíaca", HEART_RATE),
        ("Frequenza cardiaca", HEART_RATE), ("Frequência cardíaca", HEART_RATE),
        ("Hartslag", HEART_RATE), ("Tętno", HEART_RATE), ("Hjärtfrekvens", HEART_RATE),
        ("心拍数", HEART_RATE), ("心率（次/分）", HEART_RATE), ("Puls", HEART_RATE),
        ("Time", TIME), ("Uhrzeit", TIME), ("heure", TIME), ("godzina", TIME), ("時刻", TIME),
        ("时间", TIME), ("timestamp_ms", TIME), ("time (min)", TIME), ("dateTime", TIME),
        ("Datum", DATE), ("fecha", DATE), ("data", DATE), ("日期", DATE), ("日付", DATE),
        ("Elapsed time [s]", ELAPSED), ("temps écoulé", ELAPSED), ("seconds", ELAPSED),
        ("Cadence (rpm)", CADENCE), ("Trittfrequenz", CADENCE), ("步频", CADENCE),
        ("RR-interval [ms]", RR), ("rr_ms", RR), ("RR intervals", RR),
    ],
)  # fmt: skip
def test_words_of_many_languages(heading: str, meaning: str) -> None:
    found = shipped().read(heading)
    assert found is not None
    assert (found.meaning, found.is_exact) == (meaning, True)


@pytest.mark.parametrize(
    "heading",
    ["HR left", "Chest strap heart rate", "heart_rate_2", "Puls rechts", "watch HR (bpm)"],
)
def test_which_sensor_it_is_may_stand_beside_the_heart_rate(heading: str) -> None:
    found = shipped().read(heading)
    assert found is not None
    assert (found.meaning, found.is_exact) == (HEART_RATE, False)


@pytest.mark.parametrize(
    "heading",
    [
        "HR max", "hr min", "HR (max)", "average heart rate", "HR zone", "heart rate variability",
        "pulse ox", "resting HR", "speed", "", "%", "hour", "x" * 10_000,
        "FC moy. (bat/min)", "bpm smoothed 30 s", "Ø HF", "śr. tętno", "tętno maks.", "hr_10s",
        "FC media", "gem. hartslag", "Puls Mittelwert", "bpm (breaths)", "Schritte (1/min)",
        "Puls (Schläge/4 Takte)", "snitt puls", "frecuencia cardíaca máxima",
    ],
)  # fmt: skip
def test_other_quantities_are_no_heart_rates(heading: str) -> None:
    assert shipped().read(heading) is None


@pytest.mark.parametrize(
    ("heading", "unit_s"),
    [
        ("time", None), ("time (ms)", 0.001), ("elapsed µs", 1e-6), ("time_min", 60), ("s", 1),
        ("time (1/100 s)", 0.01), ("Zeit (1/10 s)", 0.1), ("Zeit [0,1 s]", 0.1),
        ("elapsed (10 ms)", 0.01), ("uptime_ms", 0.001), ("ms since boot", 0.001), ("t (h)", 3600),
        ("t (0.1 s)", 0.1),
        ("seconds since start", 1), ("time (d)", 86_400), ("Zeit (Zehntel)", 0.1),
    ],
)  # fmt: skip
def test_units_of_time(heading: str, unit_s: float | None) -> None:
    found = shipped().read(heading)
    assert found is not None
    assert found.worth == unit_s


@pytest.mark.parametrize(
    ("heading", "per_min"),
    [
        ("Puls (Schläge/15 s)", 4), ("Puls pro 15 s", 4), ("pouls [bat./10 s]", 6),
        ("Pulse (beats per 6 sec)", 10), ("HR (1/15 s)", 4), ("polsslag (slagen/20 s)", 3),
        ("tętno (uderzenia/min)", 1), ("puls (slag/minut)", 1), ("脈拍（回/15秒）", 4),
        ("hr_hz", 60), ("pulse/30 s", 2),
        ("HR (0.1 bpm)", 0.1), ("pulse (2/min)", 2), ("hr [bpm x10]", 0.1),
    ],
)  # fmt: skip
def test_counts_of_beats_in_any_time(heading: str, per_min: float) -> None:
    found = shipped().read(heading)
    assert found is not None
    assert (found.meaning, found.worth) == (HEART_RATE, pytest.approx(per_min))


def test_what_stands_in_brackets_says_whose_rate_it_is() -> None:
    assert shipped().meaning_of("bpm (cadence)") == CADENCE
    assert shipped().meaning_of("bpm (Schritte)") == CADENCE
    assert shipped().meaning_of("bpm (pulse)") == HEART_RATE


def test_words_added_as_they_stand_keep_their_units() -> None:
    words = shipped().and_more(
        {HEART_RATE: ["Herzwert (S/min)", "HR 10 s"], ELAPSED: ["tick (ds)"]}
    )
    assert words.meaning_of("Herzwert (S/min)") == HEART_RATE
    assert words.meaning_of("HR 10 s") == HEART_RATE
    tick = words.read("tick (ds)")
    assert tick is not None
    assert (tick.meaning, tick.worth) == (ELAPSED, 0.1)
    assert words.meaning_of("Herzwert") is None


def test_a_tester_can_add_words() -> None:
    words: Headings = shipped().and_more({HEART_RATE: ["Szívfrekvencia"]})
    assert words.meaning_of("szivfrekvencia (bpm)") == HEART_RATE
    assert words.meaning_of("hr") == HEART_RATE
    assert shipped().meaning_of("Szívfrekvencia") is None


def test_an_added_word_loses_its_other_meaning() -> None:
    words = shipped().and_more({HEART_RATE: ["Time"], TIME: ["hr"]})
    assert (words.meaning_of("time"), words.meaning_of("HR")) == (HEART_RATE, TIME)


def test_a_word_without_letters_tells_nothing() -> None:
    words = shipped().and_more({HEART_RATE: ["--"]})
    assert words.meaning_of("%") is None
