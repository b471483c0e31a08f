"""A screenshot beside other exports, from the card to the session's intake."""

import hashlib
import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from strapline.ground.documents import load
from strapline.ground.records.card import Card, Recording
from strapline.ground.records.intake import SessionIntake, read_intake
from strapline.ground.records.marks import over_sessions
from strapline.ground.records.picture import Picture, Resolution
from strapline.ground.records.raw_tables import raw_name
from strapline.ground.records.register import Device
from strapline.ground.settings import (
    Activities,
    Clock,
    HeadingWords,
    Plausibility,
    RrIntervals,
    Settings,
)
from strapline.ground.tables.recordings import BEATS, SAMPLES
from strapline.ground.tables.table import about
from strapline.ground.vocabulary import Flag, NoticeKind
from strapline.method.signal.normalised import normalise
from strapline.reading.formats import UndecidedExport, UnreadableExport, read_export
from strapline.reading.inbox.discovery import read_inbox
from strapline.reading.inbox.glance import Glance
from strapline.reading.session.notices import of_plots
from strapline.reading.session.parsed import Candidate, ParsedExport
from strapline.running.stages import intake, parse
from unit.pictures.looks import LOOKS, drawn, invented

TIME_S, RATE = invented()
CARD = (
    "recordings:\n"
    "  - file: band.png\n"
    "    device: band\n"
    "    picture: {left: '0:00', right: '24:30', bottom: 60, top: 180}\n"
    "    clock: {starts_at: 2026-03-05 18:05:00}\n"
)


@pytest.fixture(scope="module")
def screen() -> bytes:
    return drawn(LOOKS[1], TIME_S, RATE)


@pytest.fixture
def folder(tmp_path: Path, screen: bytes) -> Path:
    session = tmp_path / "inbox" / "run"
    session.mkdir(parents=True)
    (session / "band.png").write_bytes(screen)
    (session / "session.yaml").write_text(CARD)
    return session


def taken_in(folder: Path) -> tuple[SessionIntake, Path]:
    export, card = folder / "band.png", folder / "session.yaml"
    sha256 = hashlib.sha256(export.read_bytes()).hexdigest()
    table = folder.parent / raw_name(sha256)
    parse.run(
        export=str(export),
        content=sha256,
        samples=f"{table}.parquet",
        beats=f"{table}.beats.parquet",
        hints=json.dumps(Glance(card).hints(["band.png"])),
        headings=HeadingWords(),
    )
    intake.run(
        samples=[f"{table}.parquet"],
        beats=[f"{table}.beats.parquet"],
        exports={str(export): sha256},
        card=[str(card)],
        intake=str(folder.parent / "intake.json"),
        draft=str(folder.parent / "draft.yaml"),
        session="s",
        title="run",
        register='{"devices": {"band": {"label": "Blue band", "kind": "wrist"}}}',
        wearer='{"wearers": {}}',
        clock=Clock(),
        activities=Activities(),
    )
    return read_intake(folder.parent / "intake.json"), Path(f"{table}.parquet")


def test_a_picture_is_an_export_where_the_card_names_it(folder: Path, tmp_path: Path) -> None:
    (folder / "photo.png").write_bytes((folder / "band.png").read_bytes())
    found = read_inbox(folder.parent, Settings(), tmp_path / "results")
    assert [path.name for path in found.sessions["run"].exports] == ["band.png"]


def test_what_is_read_of_it_is_marked_and_told(folder: Path) -> None:
    described, _ = taken_in(folder)
    (band,) = described.recordings
    assert band.label == "Blue band (read from a picture)"
    assert band.resolution.column_s == pytest.approx(1470 / 612, rel=0.001)
    assert band.resolution.pixel_bpm == pytest.approx(120 / 280, rel=0.001)
    assert band.resolution.shortest_fault_s == pytest.approx(7.2, abs=0.05)
    (told,) = [n.text for n in described.notices if "read from a picture" in n.text]
    assert "one value every 2.4 s" in told and "0.43 bpm a pixel" in told
    assert "Nothing shorter than three columns, 7.2 s, is looked for as a fault." in told
    (edges,) = [n.text for n in described.notices if "Taken as the plot" in n.text]
    assert "its frame, [71.5, 59.5, 683.5, 339.5] in pixels. If the frame’s edges do not" in edges


def test_its_first_second_is_that_of_the_left_edge(folder: Path) -> None:
    described, table = taken_in(folder)
    frame = normalise(
        SAMPLES.read(table),
        BEATS.empty(),
        described.recordings[0],
        Plausibility(),
        RrIntervals(),
    ).frame
    kept = frame[frame["flag"] == Flag.KEPT]
    starts_at = pd.Timestamp("2026-03-05 18:05:00", tz="UTC")
    true = np.interp((kept["time"] - starts_at).dt.total_seconds(), TIME_S, RATE)
    assert np.median(np.abs(kept["heart_rate_bpm"] - true)) < 0.7


def test_nothing_else_of_the_picture_is_kept(folder: Path, screen: bytes) -> None:
    _, table = taken_in(folder)
    assert screen[:200] not in table.read_bytes()
    assert about(table)["format"] == "picture"


def test_hours_taken_for_minutes_are_asked_about(folder: Path) -> None:
    """612 columns of 1:24 are 0.14 s each."""
    (folder / "session.yaml").write_text(CARD.replace("24:30", "1:24"))
    described, _ = taken_in(folder)
    (asked,) = [n.text for n in described.notices if n.kind == NoticeKind.CLOCK]
    assert "from 0:00 to 1:24, 1 min 24 s, so each of its columns would be 0.14 s" in asked
    assert 'Write an hour and 24 minutes as "1:24:00".' in asked


@pytest.mark.parametrize(("right", "asked"), [("12:59", 1), ("13:00", 0)])
def test_a_plot_of_less_than_three_minutes_is_asked_about(
    folder: Path, right: str, asked: int
) -> None:
    """From 10:00 to 12:59 o'clock, it may be."""
    edges = CARD.replace("0:00", "10:00", 1).replace("24:30", right)
    (folder / "session.yaml").write_text(edges)
    described, _ = taken_in(folder)
    told = [n.text for n in described.notices if n.kind == NoticeKind.CLOCK]
    assert len(told) == asked
    assert all("from the start, and not times of day?" in text for text in told)


@pytest.mark.parametrize(("strap_s", "asked"), [(800.0, 0), (600.0, 1), (71_000.0, 0), (0.0, 0)])
def test_a_plot_far_longer_than_the_straps_recording_is_asked_about(
    strap_s: float, asked: int
) -> None:
    edges = Picture(left=0, right=7200, bottom=60, top=180)
    fine = Resolution(column_s=10, pixel_bpm=0.5, columns=720, empty=0, doubtful=0)
    entry = Recording(file="band.png", device="band", picture=edges)
    band, strap = (
        Candidate(export, "any", stated, "any", Device(label="Any"), True, None, None)
        for export, stated in (
            (ParsedExport(file="band.png", resolution=fine), entry),
            (ParsedExport(file="strap.csv", length_s=strap_s), None),
        )
    )
    told = list(of_plots([band, strap], strap))
    assert len(told) == asked
    assert all("the strap's file lasts 10 min" in notice.text for notice in told)


def test_the_draft_keeps_what_its_edges_stand_for(folder: Path) -> None:
    taken_in(folder)
    (drafted,) = load(folder.parent / "draft.yaml", Card).recordings
    assert drafted.picture == load(folder / "session.yaml", Card).recordings[0].picture


def test_over_sessions_a_device_is_marked_as_far_as_it_was_read_from_pictures() -> None:
    pictured = "Blue band (read from a picture)"
    assert over_sessions(["Blue band", "Blue band"]) == "Blue band"
    assert over_sessions([pictured, pictured]) == pictured
    for mixed in ([pictured, "Blue band"], ["Blue band", pictured]):
        assert over_sessions(mixed) == "Blue band (partly read from a picture)"


def test_edges_beside_a_table_are_told_as_not_used(folder: Path) -> None:
    rows = (f"2026-03-05T18:{5 + n // 60:02d}:{n % 60:02d}Z,120\n" for n in range(600))
    (folder / "band.png").write_text("time,heart_rate\n" + "".join(rows))
    described, _ = taken_in(folder)
    assert any("the file is no picture: that is not used" in n.text for n in described.notices)


def test_what_is_no_export_is_told_that_a_picture_would_be(folder: Path) -> None:
    (folder / "band.png").write_text("Nothing of any kind.\n")
    with pytest.raises(UnreadableExport, match="or a PNG, JPEG or WebP picture of a curve"):
        read_export(folder / "band.png")


def test_without_its_edges_it_cannot_be_read(folder: Path) -> None:
    with pytest.raises(UndecidedExport, match="what the edges of the plot"):
        read_export(folder / "band.png")
