"""The inbox: files hold what was simulated, cards are valid, and all repeats to the byte."""

import datetime as dt
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import fitdecode
import numpy as np
import pytest

from strapline.demo.bench import Bench, Session
from strapline.demo.encode_fit import SPORTS, fit
from strapline.demo.encode_xml import GPX, GPX_HEART_RATE, TCX
from strapline.demo.simulate import simulate
from strapline.demo.write import (
    exports,
    file_name,
    strap_content,
    wrist_content,
    write_bench,
    write_session,
)
from strapline.ground.documents import load
from strapline.ground.records.card import Card
from strapline.ground.records.register import Register
from strapline.reading.formats import read_export
from strapline.reading.formats.export import Hints

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def inbox(demo: tuple[Path, str]) -> Path:
    return demo[0] / "results" / "demo" / "inbox"


def test_two_writes_are_equal_to_the_byte(bench: Bench, inbox: Path, tmp_path: Path) -> None:
    few = (bench.sessions[10], bench.sessions[2])
    write_bench(bench.model_copy(update={"sessions": few}), tmp_path)
    written = sorted(path for path in tmp_path.rglob("*") if path.is_file())
    assert len(written) == 3 + 4
    for path in written:
        assert path.read_bytes() == (inbox / path.relative_to(tmp_path)).read_bytes()


def test_every_session_has_its_three_exports_and_a_valid_card(bench: Bench, inbox: Path) -> None:
    assert {path.name for path in inbox.iterdir() if path.is_dir()} == {
        s.name for s in bench.sessions
    }
    for session in bench.sessions:
        names = {path.name for path in (inbox / session.name).iterdir()}
        assert ("session.yaml" in names) == session.card
        assert len(names) == 3 + session.card + bool(session.screen and session.screenshot)
        if session.card:
            card = load(inbox / session.name / "session.yaml", Card)
            stated = {recording.file for recording in card.recordings if recording.file}
            assert stated == names - {"session.yaml"}
            assert card.activity == session.activity
            assert card.wearer == session.wearer
            assert all(recording.clock.offset_s is None for recording in card.recordings)


def test_cards_say_what_is_known_of_the_body(bench: Bench, inbox: Path) -> None:
    lacking = set()
    for session in bench.sessions:
        if session.card:
            body = load(inbox / session.name / "session.yaml", Card).body
            wearer = bench.wearers[session.wearer]
            assert (body.maximum_bpm, body.age_years) == (wearer.max_bpm, wearer.age)
            assert (body.sex, body.weight_kg) == (wearer.sex, wearer.weight_kg)
            lacking |= {key for key, value in body if value is None}
    assert lacking == {"weight_kg"}


def test_segments_of_the_card_are_the_labelled_phases(bench: Bench, inbox: Path) -> None:
    session = next(s for s in bench.sessions if s.activity == "intervals")
    segments = load(inbox / session.name / "session.yaml", Card).segments
    assert [s.label for s in segments] == [f"work {number}" for number in range(1, 7)]
    assert [(s.start, s.end) for s in segments[:2]] == [(315, 390), (465, 540)]


def test_fit_of_a_wrist_device_decodes_to_the_samples_written(bench: Bench) -> None:
    session = _session_with(bench, "harbour-watch", activity="run")
    simulation = simulate(bench, session)
    content = wrist_content(bench, session, simulation, "harbour-watch")
    messages = _decoded(fit(content))
    records = messages["record"]
    trace = simulation.traces["harbour-watch"]
    start = session.start + dt.timedelta(seconds=bench.clock_s(session, "harbour-watch"))
    seconds = [round((record["timestamp"] - start).total_seconds()) for record in records]
    np.testing.assert_array_equal(seconds, trace.second)
    np.testing.assert_array_equal(_column(records, "heart_rate"), trace.heart_rate_bpm)
    np.testing.assert_allclose(_column(records, "cadence"), trace.cadence_per_min / 2, atol=0.5)
    wrist = bench.wrists["harbour-watch"]
    for name in ("file_id", "device_info"):
        (identity,) = messages[name]
        assert identity["product_name"] == wrist.product
        assert identity["serial_number"] == wrist.serial
    assert messages["session"][0]["sport"] == "running"


def test_fit_of_the_strap_holds_every_interval_beside_its_second(bench: Bench) -> None:
    session = next(session for session in bench.sessions if session.bad_strap_contact)
    simulation = simulate(bench, session)
    messages = _decoded(fit(strap_content(bench, session, simulation)))
    rates = _column(messages["record"], "heart_rate")
    np.testing.assert_array_equal(rates, simulation.strap.heart_rate_bpm)
    assert np.isnan(rates).any()
    seconds = [
        value for message in messages["hrv"] for value in message["time"] if value is not None
    ]
    stored = simulation.strap.beat_s <= simulation.duration_s - 1
    intervals = np.round(np.array(seconds) * 1000)
    np.testing.assert_array_equal(intervals, simulation.strap.rr_ms[stored])
    assert "cadence" not in messages["record"][0]


def test_fit_says_the_sport_of_every_activity(bench: Bench) -> None:
    assert {activity.sport for activity in bench.activities.values()} == set(SPORTS)


def test_tcx_and_gpx_hold_the_samples_written(bench: Bench) -> None:
    for device, point, rate, moment in (
        ("kettle-watch", f"{{{TCX}}}Trackpoint", f".//{{{TCX}}}Value", f"{{{TCX}}}Time"),
        ("lantern-watch", f"{{{GPX}}}trkpt", f".//{{{GPX_HEART_RATE}}}hr", f"{{{GPX}}}time"),
    ):
        session = _session_with(bench, device, activity="intervals")
        trace = simulate(bench, session).traces[device]
        root = ElementTree.fromstring(dict(exports(bench, session))[device])
        points = list(root.iter(point))
        rates = [float(p.findtext(rate) or "nan") for p in points]
        np.testing.assert_array_equal(rates, trace.heart_rate_bpm)
        start = session.start + dt.timedelta(seconds=bench.clock_s(session, device))
        times = [dt.datetime.fromisoformat(p.findtext(moment) or "") for p in points]
        assert [(time - start).total_seconds() for time in times] == trace.second.tolist()


def test_positions_lie_on_the_open_sea(inbox: Path) -> None:
    positions = [
        float(point.get(axis) or "nan")
        for path in inbox.glob("*/*.gpx")
        for point in ElementTree.parse(path).iter(f"{{{GPX}}}trkpt")
        for axis in ("lat", "lon")
    ]
    assert positions
    assert max(map(abs, positions)) < 0.01


def test_csv_is_in_local_time_and_says_so_only_on_the_card(bench: Bench, inbox: Path) -> None:
    summer = _session_with(bench, "thimble-band", after=dt.date(2026, 4, 1))
    lines = (inbox / summer.name / "thimble-band.csv").read_text("utf-8").splitlines()
    assert lines[0] == "time,heart_rate_bpm,cadence_spm"
    trace = simulate(bench, summer).traces["thimble-band"]
    ahead = 3600 + bench.clock_s(summer, "thimble-band") + int(trace.second[0])
    shown = dt.datetime.fromisoformat(lines[1].split(",")[0])
    assert shown == summer.start.replace(tzinfo=None) + dt.timedelta(seconds=ahead)
    assert [float(line.split(",")[1] or "nan") for line in lines[1:]] == pytest.approx(
        trace.heart_rate_bpm, nan_ok=True
    )
    card = load(inbox / summer.name / "session.yaml", Card)
    zones = {recording.device: recording.clock.time_zone for recording in card.recordings}
    assert zones["thimble-band"] == "Europe/Lisbon"


def test_rr_text_holds_the_intervals_and_the_card_their_start(bench: Bench, inbox: Path) -> None:
    session = next(s for s in bench.sessions if s.strap == "spare-strap")
    text = (inbox / session.name / "spare-strap.txt").read_text("utf-8")
    expected = simulate(bench, session).strap.rr_ms
    np.testing.assert_array_equal([float(line) for line in text.split()], expected)
    card = load(inbox / session.name / "session.yaml", Card)
    (reference,) = (r for r in card.recordings if r.role == "reference")
    assert reference.clock.starts_at == session.start


def test_the_cut_file_is_the_beginning_of_the_whole_one(bench: Bench, tmp_path: Path) -> None:
    session = next(session for session in bench.sessions if session.cut_short)
    write_session(bench, session, tmp_path)
    whole = dict(exports(bench, session))[session.cut_short or ""]
    (cut,) = (tmp_path / session.name).glob(f"{session.cut_short}.*")
    assert whole.startswith(cut.read_bytes())
    assert 0.3 < cut.stat().st_size / len(whole) < 0.8


def test_the_session_without_a_card_is_recognised(bench: Bench, config: Path) -> None:
    register = load(config / "devices.yaml", Register)
    (session,) = (session for session in bench.sessions if not session.card)
    for device in (session.strap, *session.wrists.values()):
        described = bench.straps.get(device) or bench.wrists[device]
        name = file_name(bench, device)
        assert register.recognised(name, None, described.product) == device


def _session_with(
    bench: Bench, device: str, activity: str = "", after: dt.date = dt.date.min
) -> Session:
    """The first session of the bench with the device that is neither cut nor an hour off."""
    return next(
        session
        for session in bench.sessions
        if device in session.wrists.values()
        and session.activity.startswith(activity)
        and session.start.date() > after
        and session.cut_short is None
        and device not in session.clock_s
    )


def _decoded(exported: bytes) -> dict[str, list[dict[str, Any]]]:
    messages: dict[str, list[dict[str, Any]]] = {}
    with fitdecode.FitReader(exported, check_crc=fitdecode.CrcCheck.RAISE) as reader:
        for frame in reader:
            if isinstance(frame, fitdecode.FitDataMessage):
                values = {field.name: field.value for field in frame.fields}
                messages.setdefault(frame.name, []).append(values)
    return messages


def _column(records: list[dict[str, Any]], name: str) -> list[float]:
    return [float("nan") if record[name] is None else record[name] for record in records]


def test_a_screenshot_shows_what_the_device_read(bench: Bench, inbox: Path) -> None:
    """As far as a curve of two pixels can: a point is a mean over two columns."""
    session = next(s for s in bench.sessions if s.screen and s.screenshot)
    card = load(inbox / session.name / "session.yaml", Card)
    shown = next(r for r in card.recordings if r.device == session.screen)
    export = read_export(
        inbox / session.name / "bramble-band.png", hints=Hints(picture=shown.picture)
    )
    trace = simulate(bench, session).traces[session.screen]
    known = export.samples.dropna(subset=["heart_rate_bpm"])
    read = np.interp(trace.second, known["elapsed_s"], known["heart_rate_bpm"])
    off = read - trace.heart_rate_bpm
    assert abs(np.nanmean(off)) < 0.5
    assert np.nanmean(np.abs(off)) < 1
    assert shown.stated.average_bpm == round(float(np.nanmean(trace.heart_rate_bpm)))
    assert export.resolution.columns - export.resolution.empty > 600


def test_a_device_without_a_file_has_its_apps_figures(bench: Bench, inbox: Path) -> None:
    session = next(s for s in bench.sessions if s.screen and not s.screenshot)
    card = load(inbox / session.name / "session.yaml", Card)
    shown = next(r for r in card.recordings if r.device == session.screen)
    assert (shown.file, shown.picture) == (None, None)
    trace = simulate(bench, session).traces[session.screen]
    assert shown.stated.duration == trace.second[-1]
    assert shown.stated.maximum_bpm == np.nanmax(trace.heart_rate_bpm)
