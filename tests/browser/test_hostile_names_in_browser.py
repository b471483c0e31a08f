"""Names that would be script if a page took them for more than text."""

NAME = "</script><img src=x onerror=title='hit'>"
DEVICES = f"""\
devices:
  strap: {{label: "{NAME}", kind: chest_strap}}
  watch: {{label: "<b>W</b>&\\u202e", kind: wrist}}
"""
CARD = """\
activity: ride
wearer: ada
recordings:
  - {file: strap.csv, device: strap, role: reference}
  - {file: watch.csv, device: watch}
"""


def test_hostile_names_are_shown_as_text(tmp_path, run_workflow, opened):
    folder = tmp_path / "inbox" / ("a session " + "M" * 150)
    folder.mkdir(parents=True)
    (folder / "session.yaml").write_text(CARD)
    (tmp_path / "devices.yaml").write_text(DEVICES)
    for name, start in (("strap.csv", 100), ("watch.csv", 103)):
        rows = [
            f"2026-03-04T10:{s // 60:02}:{s % 60:02}Z,{start + (s * 7 // 10) % 40}"
            for s in range(300)
        ]
        (folder / name).write_text("\n".join(["time,heart_rate", *rows]) + "\n")
    run_workflow(tmp_path, "--config", "devices=devices.yaml")
    report = tmp_path / "results" / "report"
    paths = [report / "index.html", *report.glob("devices/*.html"), *report.glob("sessions/*.html")]
    for path in paths:
        page = opened(path, 360)
        assert page.evaluate("document.scrollingElement.scrollWidth") <= 360
        page.wait_for_timeout(200)
        assert page.title() != "hit"
        assert page.locator("img").count() == 0
        assert page.complaints == []
        assert "<b>W</b>&" in page.locator("main").inner_text()
    (session,) = set(report.glob("sessions/*.html")) - set(report.glob("sessions/*.origin.html"))
    page = opened(session)
    page.locator(".picture").first.focus()
    page.keyboard.press("ArrowRight")
    assert "</script><img src=x" in page.locator(".reading").inner_text()
