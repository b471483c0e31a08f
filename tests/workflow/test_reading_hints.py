"""What a file leaves open: said, and read as meant once the card decides."""

from strapline.tables import METRICS, NOTICES

CARD = """\
recordings:
  - {file: strap.csv, device: strap, role: reference}
  - {file: watch.csv, device: watch, clock: {time_zone: UTC%s}%s}
"""


def test_the_card_decides(tmp_path, run_workflow):
    folder = tmp_path / "inbox" / "s"
    folder.mkdir(parents=True)
    seconds = range(180)
    clock = [f"{10 + s // 3600}:{s // 60 % 60:02}:{s % 60:02}" for s in seconds]
    strap = [f"2026-03-04T{t}Z,{100 + s % 40}" for s, t in zip(seconds, clock, strict=True)]
    # Only its second column, which would not be taken by itself, is the strap's signal.
    watch = [f"04/03/2026 {t},{90},{100 + s % 40}" for s, t in zip(seconds, clock, strict=True)]
    (folder / "strap.csv").write_text("\n".join(["time,heart_rate", *strap]) + "\n")
    (folder / "watch.csv").write_text("\n".join(["time,hr,hr {paired}", *watch]) + "\n")
    archive = tmp_path / "results" / "archive"

    def notices():
        return " ".join(NOTICES.read(archive / "notices.parquet")["text"])

    (folder / "session.yaml").write_text(CARD % ("", ""))
    run_workflow(tmp_path)
    assert "clock: dates: day_first, or month_first" in notices()
    assert METRICS.read(archive / "metrics.parquet").empty

    heart_rate = ", heart_rate: 'hr {paired}'"
    (folder / "session.yaml").write_text(CARD % (", dates: day_first, trusted: true", heart_rate))
    run_workflow(tmp_path)
    assert "reads the same" in notices()
