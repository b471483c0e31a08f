"""Dates that can be read two ways: said, set aside, and read once the card decides."""

from strapline.tables import METRICS, NOTICES

CARD = """\
recordings:
  - {file: strap.csv, device: strap, role: reference}
  - {file: watch.csv, device: watch, clock: {time_zone: UTC%s}}
"""


def test_the_card_decides(tmp_path, run_workflow):
    folder = tmp_path / "inbox" / "s"
    folder.mkdir(parents=True)
    clock = [f"{10 + s // 3600}:{s // 60 % 60:02}:{s % 60:02}" for s in range(180)]
    for name, day in (("strap.csv", "2026-03-04T{}Z"), ("watch.csv", "04/03/2026 {}")):
        rows = [f"{day.format(t)},{100 + n % 40}" for n, t in enumerate(clock)]
        (folder / name).write_text("\n".join(["time,heart_rate", *rows]) + "\n")
    archive = tmp_path / "results" / "archive"

    (folder / "session.yaml").write_text(CARD % "")
    run_workflow(tmp_path)
    said = " ".join(NOTICES.read(archive / "notices.parquet")["text"])
    assert "clock: dates: day_first, or month_first" in said
    assert METRICS.read(archive / "metrics.parquet").empty

    (folder / "session.yaml").write_text(CARD % ", dates: day_first, trusted: true")
    run_workflow(tmp_path)
    assert NOTICES.read(archive / "notices.parquet")["text"].str.contains("reads the same").any()
