"""What wearers are called in what may be published."""

import pandas as pd
import pytest

from strapline.ground.settings import Presentation
from strapline.ground.tables.archive import SESSIONS
from strapline.ground.vocabulary import UNSTATED
from strapline.telling.archive_tables import ArchiveTables
from strapline.telling.wearers import as_called, called, titled

LETTERS, NAMES = Presentation(), Presentation(name_wearers=True)


def sessions(*days):
    return SESSIONS.from_rows(
        [
            {
                "session": f"{name}-{wearer}",
                "title": f"{name} Run {wearer.title()}",
                "wearer": wearer,
                "activity": "run",
                "started_at": day and pd.Timestamp(f"2026-03-{day:02}", tz="UTC"),
                "devices": 1,
                "clocks_aligned": 0,
                "clocks_left": 0,
            }
            for name, (wearer, day) in enumerate(days)
        ]
    )


def test_letters_go_by_first_sessions():
    held = sessions(("zoe", 4), ("ada", None), ("bo", 2), (UNSTATED, 1), ("zoe", 1))
    assert called(held, LETTERS) == {"zoe": "A", "bo": "B", "ada": "C"}


def test_who_comes_later_takes_no_letter():
    before, after = (("zoe", 4), ("bo", 5)), (("zoe", 4), ("bo", 5), ("ada", 6), ("bo", 7))
    assert called(sessions(*before), LETTERS).items() <= called(sessions(*after), LETTERS).items()


def test_after_z_letters_go_on_in_pairs():
    found = called(sessions(*((f"w{day}", 1) for day in range(60))), LETTERS)
    assert list(found.values())[25:28] == ["Z", "AA", "AB"] and len(set(found.values())) == 60


def test_no_table_holds_a_name_that_is_not_to_be_published():
    shown = as_called(ArchiveTables(sessions=sessions(("zoe", 4), ("bo", 2))), LETTERS).sessions
    assert list(shown["wearer"]) == ["B", "A"]
    assert list(shown["title"]) == ["0 Run", "1 Run"]
    shown = as_called(ArchiveTables(sessions=sessions(("zoe", 4), ("bo", 2))), NAMES).sessions
    assert list(shown["wearer"]) == ["zoe", "bo"]
    assert list(shown["title"]) == ["0 Run Zoe", "1 Run Bo"]


@pytest.mark.parametrize(
    ("title", "expected"), [("Zoe’s run, with Zoe", "run, with"), ("zoe - ", "Session")]
)
def test_a_title_loses_the_name_and_nothing_else(title, expected):
    assert titled(title, {"zoe", "bo", UNSTATED}, LETTERS) == expected
    assert titled(title, {"zoe"}, NAMES) == title
    assert titled(UNSTATED, {UNSTATED}, LETTERS) == UNSTATED
