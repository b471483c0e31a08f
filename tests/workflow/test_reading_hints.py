"""What a file leaves open: said, and read as meant once card and settings decide."""

from strapline.ground.tables.archive import NOTICES
from strapline.ground.tables.sessions import METRICS

CARD = """\
recordings:
  - {file: strap.csv, device: strap, role: reference}
  - {file: watch.csv, device: watch, clock: {time_zone: UTC%s}%s}
"""


def test_card_and_settings_decide(tmp_path, run_workflow):
    folder = tmp_path / "inbox" / "s"
    folder.mkdir(parents=True)
    times = [(s, f"10:{s // 60:02}:{s % 60:02}") for s in range(180)]
    strap = [f"2026-03-04T{time}Z,{100 + s % 40}" for s, time in times]
    # Only its second column, which would not be taken by itself, is the strap's signal.
    watch = [f"04/03/2026 {time},{90},{100 + s % 40}" for s, time in times]
    (folder / "strap.csv").write_text("\n".join(["time,ritmus", *strap]) + "\n")
    (folder / "watch.csv").write_text("\n".join(["time,hr,hr {paired}", *watch]) + "\n")
    archive = tmp_path / "results" / "archive"

    def notices():
        return " ".join(NOTICES.read(archive / "notices.parquet")["text"])

    (folder / "session.yaml").write_text(CARD % ("", ""))
    wanted = ("results/archive/notices.parquet", "results/archive/metrics/first.parquet")
    run_workflow(tmp_path, *wanted)
    assert "clock: dates: day_first, or month_first" in notices()
    assert (
        "The table has no heart rate column Strapline knows; of its 2 headings in line 1"
        in notices()
    )
    assert "ritmus" not in notices()
    assert METRICS.read(archive / "metrics").empty

    heart_rate = ", heart_rate: 'hr {paired}'"
    (folder / "session.yaml").write_text(CARD % (", dates: day_first, trusted: true", heart_rate))
    (tmp_path / "settings.yaml").write_text("headings: {heart_rate: [ritmus]}")
    run_workflow(tmp_path, *wanted, "--config", "settings=settings.yaml")
    assert "reads the same" in notices()
