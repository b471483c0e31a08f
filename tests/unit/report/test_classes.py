"""Devices as the register describes them, standings within a class, and a device's own record."""

import pytest

from strapline.ground.tables.archive import DEVICES
from strapline.telling.report.classes import classes, market_words
from strapline.telling.report.own_record import unlike_itself
from strapline.telling.report.standings import Standing

SILENT = {"form": None, "class": None, "price": None, "currency": None, "price_date": None}
CHEAP = {"kind": "wrist", "class": "under 100"}
BENCH = DEVICES.from_rows(
    [
        SILENT
        | CHEAP
        | {"device": "band", "label": "Blue band", "form": "band"}
        | {"price": 49.5, "currency": "EUR", "price_date": "2026-05-01"},
        SILENT | CHEAP | {"device": "watch", "label": "Grey watch"},
        SILENT | {"device": "ring", "label": "Ring", "kind": "finger", "class": "over 300"},
        SILENT | {"device": "strap", "label": "Strap", "kind": "chest_strap"},
    ]
)


def standing(device, activity, error, sessions=5, usual=None):
    labels = dict(zip(BENCH["device"], BENCH["label"], strict=True))
    figures = {"mae": error}
    return Standing(
        device,
        labels[device],
        activity,
        sessions,
        0,
        0,
        1,
        0.0,
        error if usual is None else usual,
        figures,
    )


def test_what_a_device_is_stands_in_words_and_silence_says_nothing():
    assert market_words(BENCH) == {
        "band": "band, 49.5 EUR on 2026-05-01, class ‘under 100’",
        "watch": "class ‘under 100’",
        "ring": "class ‘over 300’",
        "strap": "",
    }


def test_standings_are_read_within_a_class():
    rows = [
        standing("band", "run", 2.0),
        standing("watch", "run", 3.0),
        standing("ring", "run", 1.0),
        standing("watch", "ride", 3.0),
        standing("band", "ride", 4.0),
        standing("band", "desk", 1.0),
        standing("band", "strength", 9.0),
        standing("watch", "strength", 12.0),
    ]
    (cheap,) = classes(BENCH, rows)
    assert cheap.name == "under 100"
    # Alone at the desk it is closest of nothing.
    assert {(row.device, row.activity) for row in cheap.rows} == {
        (device, activity)
        for device in ("band", "watch")
        for activity in ("run", "ride", "strength")
    }


def test_without_classes_there_are_none():
    silent = BENCH.assign(**{"class": None})
    assert classes(silent, [standing("band", "run", 2.0), standing("watch", "run", 3.0)]) == []


@pytest.mark.parametrize(
    ("error", "usual", "sessions", "said"),
    [
        (32.0, 2.1, 4, True),
        (2.0, 9.0, 4, True),
        (32.0, 2.1, 3, False),
        (6.9, 2.1, 4, False),
        (15.0, 9.0, 4, False),
    ],
)
def test_a_session_is_held_against_the_devices_own_record(error, usual, sessions, said):
    session = {"session": "s", "activity": "run"}
    record = [standing("band", "run", 5.0, sessions, usual)]
    found = list(unlike_itself([(session, "band", error)], record))
    text = f"Blue band was {error} bpm off; in run sessions it is usually {usual}."
    assert found == ([(session, text)] if said else [])


def test_other_activities_are_no_record():
    record = [standing("band", "ride", 5.0, 9, 2.0)]
    assert not list(unlike_itself([({"activity": "run"}, "band", 40.0)], record))
