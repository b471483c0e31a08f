"""What apps state on pages and in publications: marked, and never beside what needs a trace."""

import re

import pandas as pd
import pytest

from intakes import recording, session, strap
from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.records.stated import Stated, StatedIntake
from strapline.ground.settings import OverAll, Presentation, Tolerance
from strapline.ground.tables.archive import APPS, DEVICES
from strapline.ground.tables.sessions import STATED
from strapline.method.agreement.standings import standings
from strapline.method.claims.usable import usability
from strapline.method.signal.trace import NOTHING
from strapline.method.stated.over_sessions import counted
from strapline.method.stated.session_stated import session_stated
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts.archive_charts import DEVICE_CHARTS
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.publish import sources, tables
from strapline.telling.publish.archive_text import device_text
from strapline.telling.report.apps import over_sessions
from strapline.telling.report.archive import session_rows
from strapline.telling.report.device import DEVICE
from strapline.telling.report.session_page import SESSION
from strapline.telling.report.site import rendered
from strapline.telling.session_tables import SessionTables

BAND = StatedIntake(
    recording="band",
    device="band",
    label="Band (as the app states)",
    device_kind="arm",
    placement="left_arm",
    firmware="1",
    figures=Stated(average_bpm=121, maximum_bpm=158),
    has_export=False,
)
ROW = {"session": "s-1", "wearer": "ada", "activity": "run", "device": "band", "recording": "band"}
ROW |= {"against": "the_strap", "unit": "bpm", "rounding": 1.0, "over_s": 600.0}
TABLE = STATED.from_rows(
    [
        ROW
        | {"figure": "stated_average", "stated": 121.0, "measured": 118.4, "difference": 2.6}
        | {"sentence": "As its app states, Band averaged 121 bpm."},
        ROW
        | {"figure": "stated_maximum", "stated": 158.0, "measured": 162.0, "difference": -4.0}
        | {"sentence": "As its app states, Band reached 158 bpm."},
    ]
)
ALONE = session(strap(), stated=(BAND,))


def text_of(page: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def test_a_session_of_nothing_else_tells_what_the_app_states(shown) -> None:
    session_tables = SessionTables(ALONE, Tolerance(), stated=TABLE)
    context = SESSION.context(session_tables, shown(SESSION_CHARTS))
    text = text_of(rendered(SESSION, Presentation(), context))
    assert "Of Band there is only what the app states." in text
    assert "averaged 121 bpm. As its app states, Band reached 158 bpm." in text
    assert "Band (as the app states) average 121 118.4 +2.6 the strap" in text
    assert "no error, no course, no delay" in text
    assert "There was no device to compare" not in text
    assert "Over the seconds that both had a reading." not in text


def test_what_is_held_against_an_export_is_told_once(shown) -> None:
    watch = BAND.model_copy(
        update={"recording": "watch", "device": "watch", "label": "Watch", "has_export": True}
    )
    beside = TABLE.assign(recording="watch", device="watch", against="own_export")
    beside = STATED.frame({name: beside[name] for name in STATED.column_names})
    intake = session(strap(), recording("watch", label="Watch"), stated=(watch,))
    context = SESSION.context(
        SessionTables(intake, Tolerance(), stated=beside), shown(SESSION_CHARTS)
    )
    text = text_of(rendered(SESSION, Presentation(), context))
    assert text.count("averaged 121 bpm") == 1
    assert "Watch average 121 118.4 +2.6 its export" in text
    assert "no error, no course" not in text


def test_beside_others_the_verdict_says_what_there_is() -> None:
    alignment = SessionAlignment(session="s-1", reference="strap", clocks=())
    ledger = SessionLedger(session="s-1", recordings=(), comparisons=())
    found = usability(ALONE, alignment, ledger)
    assert found.verdict == "Of Band there is only what the app states."
    assert found.advice == ()


def test_a_publication_marks_what_the_app_states() -> None:
    rows = tables.stated_rows(ALONE, TABLE)
    assert rows[["device", "figure", "value"]].to_numpy().tolist() == [
        ["Band (as the app states)", "Average, as the app states, bpm", 121.0],
        ["Band (as the app states)", "Average, as the app states, minus the strap’s, bpm", 2.6],
        ["Band (as the app states)", "Highest, as the app states, bpm", 158.0],
        ["Band (as the app states)", "Highest, as the app states, minus the strap’s, bpm", -4.0],
    ]
    assert "| Average, as the app states, bpm | 121 |" in tables.session_markdown(rows)
    assert "Band (as the app states) against Chest strap" in sources.of_session(ALONE, None, "m")


def test_a_devices_page_and_the_list_of_sessions_mark_it(shown, policy) -> None:
    sessions = pd.DataFrame(
        {
            "session": ["s-1"],
            "title": ["One"],
            "activity": ["run"],
            "wearer": ["ada"],
            "started_at": pd.to_datetime(["2026-03-01T10:00:00Z"]),
            "set_aside": pd.Series([None], dtype=object),
        }
    )
    archive = ArchiveTables(
        sessions=sessions,
        stated=TABLE,
        standings=standings(counted(TABLE).iloc[:0], OverAll(), stated=counted(TABLE)),
        devices=DEVICES.from_rows(
            [{"device": "band", "label": "Band (as the app states)", "kind": "arm"}]
        ),
    )
    assert [label for _, label, _ in session_rows(archive)[0]["devices"]] == [
        "Band (as the app states)"
    ]
    own = DeviceTables("band", archive)
    context = DEVICE.context(own, policy, shown(DEVICE_CHARTS, "none"))
    text = text_of(rendered(DEVICE, Presentation(), context))
    assert "Run +2.6 +2.2 % −4.0 −2.5 % – – % – % – – – 1 one wearer 1 as its app states" in text
    assert "Sessions as its app states count in average and highest alone." in text
    assert "One as its app states +2.6 −4.0 – – % – %" in text
    published = device_text(own, policy, "m")
    assert published.sources.startswith(
        "Band (as the app states): one session, one wearer, 1 March"
    )


@pytest.mark.parametrize(
    ("against", "mean", "beyond", "said"),
    [
        (
            "own_export",
            0.44,
            0,
            "The average that Band’s app states was 0.4 bpm above that of its own recording in 3 "
            "sessions (−1.0 to +2.0); rounding can account for that.",
        ),
        (
            "own_export",
            -0.04,
            2,
            "The average that Band’s app states was that of its own recording in 3 sessions (−1.0 "
            "to +2.0); beyond rounding in 2.",
        ),
        (
            "the_strap",
            -2.0,
            0,
            "As its app states, Band’s average was 2.0 bpm below the strap’s in 3 sessions (−1.0 "
            "to +2.0).",
        ),
    ],
)
def test_over_sessions_it_is_told_how_far_an_app_is_off(against, mean, beyond, said) -> None:
    row = {"device": "band", "figure": "stated_average", "against": against, "unit": "bpm"}
    row |= {"sessions": 3, "mean": mean, "lowest": -1.0, "highest": 2.0, "beyond_rounding": beyond}
    assert over_sessions(APPS.from_rows([row]), "band", "Band (as the app states)") == [said]


def test_that_an_app_states_it_is_said_once() -> None:
    row = {"device": "band", "against": "the_strap", "unit": "bpm", "sessions": 1, "mean": 6.2}
    row |= {"lowest": 6.2, "highest": 6.2, "beyond_rounding": 0}
    figures = [row | {"figure": f"stated_{name}"} for name in ("average", "maximum")]
    assert over_sessions(APPS.from_rows(figures), "band", "Band") == [
        "As its app states, Band’s average was 6.2 bpm above the strap’s in one session.",
        "By the same app, its highest was 6.2 bpm above the strap’s in one session.",
    ]


def test_without_a_strap_nothing_is_said() -> None:
    assert session_stated(ALONE, {}, NOTHING).empty
