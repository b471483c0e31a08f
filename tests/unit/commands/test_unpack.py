"""An app's whole history, of which only what shares time with the inbox is laid there."""

import io
import zipfile
from pathlib import Path

import pytest

from strapline.running.commands import main


def track(day: int, count: int = 60) -> str:
    rows = "".join(f"2026-03-{day:02}T10:00:{n:02}Z,{90 + n % 9}\n" for n in range(count))
    return f"time,heart rate\n{rows}"


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "config").mkdir()
    (tmp_path / "config" / "devices.yaml").write_text("devices: {}")
    (tmp_path / "config" / "settings.yaml").write_text("{}")
    (tmp_path / "inbox" / "Monday").mkdir(parents=True)
    (tmp_path / "inbox" / "Monday" / "strap.csv").write_text(track(2))
    (tmp_path / "inbox" / "loose.csv").write_text(track(4))
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for day in range(1, 29):
            archive.writestr(f"../../history/ride {day}.csv", track(day, 50))
        archive.writestr("read me.txt", "words")
        archive.writestr("elapsed.csv", "t,hr\n0,60\n1,61\n")
    (tmp_path / "history.zip").write_bytes(packed.getvalue())
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_what_shares_time_is_laid_beside_it_and_the_rest_is_told(
    bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = {path for path in bench.rglob("*") if path.is_file()}
    assert main(["unpack", "history.zip"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("2 of 30 files share time with a recording and were put beside it.\n")
    assert (
        "26 that share no time with a recording in the inbox: ride 1.csv, ride 3.csv, ride 5.csv"
        in said
    )
    assert "1 that are no exports" in said and "1 that give no time of day" in said
    laid = {path for path in bench.rglob("*") if path.is_file()} - before
    assert laid == {bench / "inbox" / "Monday" / "ride-2.csv", bench / "inbox" / "ride-4.csv"}
    assert main(["unpack", "history.zip"]) == 0
    assert "2 that are in the inbox already" in capsys.readouterr().out
    assert {path for path in bench.rglob("*") if path.is_file()} - before == laid


def days(first: int, last: int) -> str:
    rows = "".join(
        f"2026-03-{day:02}T{hour:02}:{minute:02}:00Z,{60 + minute % 9}\n"
        for day in range(first, last + 1)
        for hour in range(24)
        for minute in range(0, 60, 10)
    )
    return f"time,heart rate\n{rows}"


def unpacked(bench: Path, capsys: pytest.CaptureFixture[str], **files: str) -> str:
    with zipfile.ZipFile(bench / "days.zip", "w") as archive:
        for name, content in files.items():
            archive.writestr(f"{name}.csv", content)
    assert main(["unpack", "days.zip"]) == 0
    return capsys.readouterr().out


def test_days_in_one_file_go_to_each_session_they_cover(
    bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (bench / "inbox" / "Tuesday").mkdir()
    (bench / "inbox" / "Tuesday" / "strap.csv").write_text(track(3))
    said = unpacked(bench, capsys, history=days(1, 5), later=days(20, 22))
    assert said.startswith("1 of 2 files share time with a recording and were put beside it.\n")
    assert "1 that share no time with a recording in the inbox: later.csv." in said
    for day in ("Monday", "Tuesday"):
        assert (bench / "inbox" / day / "history.csv").read_text() == days(1, 5)
    # Loose in the inbox it would be a session of days.
    assert not (bench / "inbox" / "history.csv").exists()


def test_days_are_left_where_the_archive_has_the_sessions_own_file(
    bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = unpacked(bench, capsys, a_history=days(1, 3), ride=track(2, 50))
    assert (bench / "inbox" / "Monday" / "ride.csv").exists()
    assert "1 that cover sessions of which the archive holds a file of their own: a_history" in said
    said = unpacked(bench, capsys, history=days(4, 4))
    assert "1 that cover hours around a file that lies loose in the inbox; put that" in said


def test_nothing_is_written_over(bench: Path) -> None:
    taken = bench / "inbox" / "Monday" / "ride-2.csv"
    taken.write_text("mine")
    assert main(["unpack", "history.zip"]) == 0
    assert taken.read_text() == "mine"
    assert (bench / "inbox" / "Monday" / "ride-2-2.csv").exists()


@pytest.mark.parametrize(
    ("file", "reason"),
    [("inbox/loose.csv", "no zip archive"), ("gone.zip", "gone.zip")],
)
def test_what_cannot_be_unpacked_is_told(
    bench: Path, capsys: pytest.CaptureFixture[str], file: str, reason: str
) -> None:
    assert main(["unpack", file]) == 2
    assert reason in capsys.readouterr().err
