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
    assert "26 that share no time with a recording in the inbox" in said
    assert "1 that are no exports" in said and "1 that give no time of day" in said
    laid = {path for path in bench.rglob("*") if path.is_file()} - before
    assert laid == {bench / "inbox" / "Monday" / "ride-2.csv", bench / "inbox" / "ride-4.csv"}
    assert main(["unpack", "history.zip"]) == 0
    assert "2 that are in the inbox already" in capsys.readouterr().out
    assert {path for path in bench.rglob("*") if path.is_file()} - before == laid


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
