"""A chart that says what it said before is not drawn again; whatever else it may be, it is."""

import os
import shutil
from dataclasses import replace

import pytest

from strapline.telling.charts import kept, theme
from strapline.telling.charts.kept import save_all
from strapline.telling.charts.render import Specification

SPEC = {
    "config": {"background": "white"},
    "data": {"values": [{"beats": 61}]},
    "mark": "point",
    "encoding": {"x": {"field": "beats", "type": "quantitative"}},
}
CHART = Specification(SPEC, "Beats", "One point at 61.")


class Bench:
    """A job's folder, which is removed before each run, and what is drawn meanwhile."""

    def __init__(self, folder, monkeypatch):
        self.folder, self.kept, self.drawn = folder / "charts", folder / "drawings", []
        draw = kept.drawn
        monkeypatch.setattr(kept, "drawn", lambda chart: self.drawn.append(chart) or draw(chart))

    def run(self, charts, renderer="code"):
        """What is drawn anew, and the files there are then."""
        self.drawn.clear()
        shutil.rmtree(self.folder, ignore_errors=True)
        save_all(charts, self.folder, self.kept, renderer)
        assert len(list(self.kept.glob("*-*"))) <= len(charts)
        return len(self.drawn), {path.name: path.read_bytes() for path in self.folder.iterdir()}


@pytest.fixture
def bench(tmp_path, monkeypatch):
    return Bench(tmp_path, monkeypatch)


def test_what_did_not_change_is_drawn_once(bench):
    number, files = bench.run({"a": CHART})
    assert (number, sorted(files)) == (1, ["a.svg", "a.vl.json"])
    assert bench.run({"a": CHART}) == (0, files)


@pytest.mark.parametrize(
    "change",
    [
        {"spec": SPEC | {"mark": "bar"}},
        {"title": "Beat"},
        {"alt": "A point."},
        {"frame": theme.Frame(700, 500)},
    ],
)
def test_what_changed_is_drawn_anew_and_what_it_was_is_not_kept(bench, change):
    bench.run({"a": CHART, "b": CHART})
    number, files = bench.run({"a": replace(CHART, **change), "b": CHART})
    assert number == 1
    assert files["a.svg"] != files["b.svg"]
    assert bench.run({"b": CHART})[0] == 0
    assert bench.run({"a": replace(CHART, **change)})[0] == 1


def test_other_code_draws_anew(bench):
    bench.run({"a": CHART})
    assert bench.run({"a": CHART}, renderer="other code")[0] == 1


def test_a_picture_that_somebody_changed_is_drawn_anew(bench):
    files = bench.run({"a": CHART})[1]
    with (bench.folder / "a.svg").open("a") as file:
        file.write("<!-- mine -->")
    assert bench.run({"a": CHART}) == (1, files)


def test_what_else_lies_there_is_left_alone(bench):
    (bench.kept / "@folder").mkdir(parents=True)
    (bench.kept / "mine.txt").write_text("mine")
    files = bench.run({"a": CHART})[1]
    assert bench.run({"a": CHART}) == (0, files)
    assert (bench.kept / "mine.txt").read_text() == "mine"


def test_where_nothing_can_be_kept_everything_is_drawn(bench):
    bench.kept.write_text("no folder")
    files = bench.run({"a": CHART})[1]
    assert bench.run({"a": CHART}) == (1, files)


def test_where_the_disk_has_no_links_everything_is_drawn(bench, monkeypatch):
    def refuse(*_):
        raise PermissionError

    files = bench.run({"a": CHART})[1]
    monkeypatch.setattr(os, "link", refuse)
    assert bench.run({"a": CHART}) == (1, files)
