"""What the tester is shown of headings that nothing is known of, and nobody else."""

from pathlib import Path

import pytest

from strapline.running.commands import main

ROWS = "".join(f"2026-03-02T10:00:{n:02}Z,{90 + n % 9},{3 + n % 2},{n}\n" for n in range(20))


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / "config").mkdir()
    (tmp_path / "config" / "devices.yaml").write_text("devices: {}")
    (tmp_path / "config" / "settings.yaml").write_text("headings: {cadence: [Tramp]}")
    folder = tmp_path / "inbox" / "Monday"
    folder.mkdir(parents=True)
    (folder / "watch.csv").write_text(f"time,pulse,Wheel\x1b[1m,Tramp\n{ROWS}")
    (folder / "band.csv").write_text(f"time,pulse,speed,Tramp\n{ROWS}")
    (folder / "odd.csv").write_text("wann;was\nheute;120\n")
    (folder / "strap.json").write_text("[]")
    monkeypatch.chdir(tmp_path)
    return folder


def test_what_is_not_known_is_shown_with_where_to_write_it(
    bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["headings"]) == 0
    said = capsys.readouterr().out
    assert "inbox/Monday/watch.csv\n  time: time\n  heart_rate: pulse\n  cadence: Tramp\n" in said
    assert "  not known: Wheel" in said and "\x1b" not in said
    assert "inbox/Monday/odd.csv\n  not known: wann\n  not known: was\n" in said
    assert "band.csv" not in said and "strap.json" not in said
    assert "write it under headings in config/settings.yaml" in said


def test_one_file_is_shown_whole(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["headings", str(bench / "band.csv"), str(bench / "strap.json")]) == 0
    said = capsys.readouterr().out
    assert "  speed: speed\n" in said and "strap.json has no headings." in said
    assert main(["headings", str(bench / "none.csv")]) == 2


@pytest.mark.parametrize("ending", ["", ",pulse"])
def test_an_average_is_shown_where_no_other_heart_rate_is_known(bench: Path, capsys, ending):
    rows = "".join(f"2026-03-02 10:{n:02},{90 + n % 9},80\n" for n in range(20))
    (bench / "minutes.csv").write_text(f"Start,Average heart rate{ending}\n{rows}")
    assert main(["headings"]) == 0
    assert ("not known: Average heart rate" in capsys.readouterr().out) == (not ending)


def test_nothing_left_is_said(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("watch.csv", "odd.csv"):
        (bench / name).unlink()
    assert main(["headings"]) == 0
    assert capsys.readouterr().out == "Strapline knows every heading in your exports.\n"
