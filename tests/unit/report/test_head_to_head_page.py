"""Pairs of devices, each told from the side of the one that was closer."""

import pytest

from strapline.ground.settings import OverAll
from strapline.ground.vocabulary import ALL_ACTIVITIES
from strapline.method.claims.claim import Claim, Ground
from strapline.method.claims.duels import Duel
from strapline.method.metrics.value import Value
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.report.head_to_head import overall, pairs, together
from strapline.telling.report.verdicts import by_verdict
from unit.agreement.archives import archive as figures

GROUND = Ground(4, 2, 100)


def row(a, b, difference, verdict="below the margin", activity=ALL_ACTIVITIES):
    duel = Duel(
        a.title(),
        b.title(),
        GROUND,
        Value(difference, difference - 1, difference + 2),
        Value(difference / 2, difference / 2 - 1, difference / 2 + 2),
        p=0.25,
        people_p=0.5,
        pairs=1,
        sessions_needed=4,
        failed_a=0,
        failed_b=1,
        closer=Value(25, 5, 70),
        a_left=3,
        a_right=1,
    )
    return {
        "activity": activity,
        "duel": duel,
        "claim": Claim(verdict, "A sentence."),
        "device_a": a,
        "device_b": b,
    }


@pytest.mark.parametrize(
    ("difference", "closer", "often", "left", "right", "low", "high"),
    [(2.5, "B", "3 of 4", 1, 3, 1.5, 4.5), (-2.5, "A", "1 of 4", 3, 1, 0.5, 3.5)],
)
def test_a_row_is_told_from_the_closer_side(difference, closer, often, left, right, low, high):
    ((told,),) = [pair["rows"] for pair in pairs([row("a", "b", difference)])]
    assert (told["closer"], told["often"]) == (closer, often)
    assert (told["left"], told["right"]) == (left, right)
    assert told["by"] == Value(2.5, low, high)
    assert told["balanced"].value == 1.25
    assert told["balanced"].low < told["balanced"].value < told["balanced"].high


def test_the_clearest_pairs_come_first():
    rows = [
        row("a", "b", 1.0, "not yet"),
        row("a", "c", 1.0),
        row("a", "d", -3.0),
        row("b", "c", 0.5, "shown"),
        row("b", "d", 9.0, activity="run"),
    ]
    found = pairs(rows)
    assert [p["name"] for p in found] == ["b.c", "a.d", "a.c", "a.b", "b.d"]
    told = [(v, [r["name"] for r in own]) for v, own in by_verdict(overall(found))]
    assert told == [
        ("shown", ["b.c"]),
        ("below the margin", ["a.d", "a.c"]),
        ("not yet", ["a.b"]),
    ]


def test_pairs_of_any_names_have_names_of_their_own():
    found = pairs([row("x-and-y", "z", 1.0), row("x", "y-and-z", 1.0)])
    assert len({pair["name"] for pair in found}) == 2


def test_what_each_of_two_did_is_told_of_their_common_sessions_alone():
    """In the third session the watch was alone, and far off; in the fourth the band was."""
    sessions = [
        {"session": "1", "device": "watch", "mae": 2.0, "bias": -1.0},
        {"session": "1", "device": "band", "mae": 4.0, "bias": 1.0},
        {"session": "2", "device": "watch", "mae": 4.0, "bias": -3.0, "wearer": "bo"},
        {"session": "2", "device": "band", "mae": 8.0, "bias": 2.0, "wearer": "bo"},
        {"session": "3", "device": "watch", "mae": 90.0, "bias": 90.0},
        {"session": "4", "device": "band", "mae": 90.0, "bias": 90.0},
        {"session": "4", "device": "ring", "mae": 1.0, "bias": 1.0},
    ]
    rows = together(ArchiveTables(whole_sessions=figures(*sessions)), OverAll(), "band", "watch")
    assert [(row.device, row.activity, row.error, row.mean("bias")) for row in rows] == [
        ("watch", "run", 3.0, -2.0),
        ("band", "run", 6.0, 1.5),
    ]
    assert {(row.sessions, row.wearers) for row in rows} == {(2, 2)}
