"""What is registered in one place is found in every other: a toy figure and a toy fault, over a
session from its exports to its pages."""

import hashlib
import json

import numpy as np
import pytest

from benchmarks.archive_floor import FILES, arguments, module
from strapline.ground.records.raw_tables import raw_name
from strapline.ground.settings import Claims, Criteria, OverAll, Presentation, Settings, Tolerance
from strapline.ground.tables.archive import CONDITIONS
from strapline.ground.tables.sessions import COURSES, EPISODES, METRICS, SENTENCES
from strapline.keeping.provenance import fingerprint, sections_read
from strapline.keeping.receipts import Order, Places
from strapline.method.episodes import kinds
from strapline.method.episodes.faults import faults
from strapline.method.episodes.kind import EpisodeKind
from strapline.method.metrics import registry
from strapline.method.metrics.again import of_both
from strapline.method.metrics.deciding import FURTHEST_OFF
from strapline.method.metrics.figures import Figures
from strapline.method.metrics.intervals import none
from strapline.method.metrics.metric import OWN, Metric
from strapline.method.signal.spans import spans_of
from strapline.running.commands import main
from strapline.telling.charts.traces import summary
from strapline.telling.report.faults import device_faults
from strapline.telling.report.method_page import METHOD, context
from strapline.telling.report.origin import origins
from strapline.telling.report.session import figure_table
from strapline.telling.report.site import rendered
from strapline.telling.session_tables import SessionTables

REGISTER = {
    "strap": {"label": "Strap", "kind": "chest_strap", "recognise": [{"file_name": "strap*"}]},
    "watch": {"label": "Watch", "recognise": [{"file_name": "watch*"}]},
}
SECONDS, WRONG = 600, slice(300, 340)

MIDDLE = Metric(
    key="middle_difference",
    name="Middle difference",
    meaning="Half of the differences are above it.",
    unit="bpm",
    formula="median of d − r",
    source=OWN,
    interval=none("this is a toy and asks for no interval"),
    value=lambda c: float(np.median(c.pairs[1] - c.pairs[0])),
    again=of_both(lambda r, d: np.percentile(d - r, 50)),
    deciding=FURTHEST_OFF,
)
TWICE = EpisodeKind(
    key="shows_twice",
    name="Shows twice the rate",
    lane="twice",
    did="showed twice the heart rate",
    phase="showed twice the rate, up to {size} bpm off,",
    how="It is more than 1.9 times the reference.",
    settings=("shortest_s",),
    shortest="shortest_s",
    spans=lambda view, settings: (
        (span, None)
        for span in spans_of(view.compared & (view.device_bpm > 1.9 * view.reference_bpm))
    ),
    reason=lambda span, view, _: f"The device showed twice the rate from second {span[0]}.",
)


class Session:
    """Two exports, and what the stages make of them here, in this process."""

    def __init__(self, folder):
        self.places = Places(folder / "results", folder / "inbox")
        self.made = self.places.results / "sessions" / "s"
        (self.made / "raw").mkdir(parents=True)
        exports = self.places.inbox / "s"
        exports.mkdir(parents=True)
        heart = np.round(120 + 25 * np.sin(np.arange(SECONDS) / 60))
        shown = heart + 2
        shown[WRONG] = 2 * heart[WRONG]
        self.contents, self.raw = {}, {"samples": [], "beats": []}
        for name, rates in (("strap", heart), ("watch", shown)):
            rows = [
                f"2026-03-01T10:{s // 60:02}:{s % 60:02}Z,{rate:.0f}"
                for s, rate in enumerate(rates)
            ]
            path = exports / f"{name}.csv"
            path.write_text("\n".join(["time,heart_rate", *rows]) + "\n")
            self.contents[str(path)] = hashlib.sha256(path.read_bytes()).hexdigest()

    def do(self, stage, reads, files=None, raw=(), **facts):
        """As a rule has a stage done: with its settings, and a receipt. It writes what it does not
        read."""
        sections = Settings().only(sections_read(stage))
        files = files or {name: str(self.made / file) for name, file in FILES.items()} | self.raw
        inputs = {name: files[name] for name in reads}
        written = [n for n in arguments(stage) if n not in {*reads, *sections, *facts}]
        outputs = {name: files[name] for name in written}
        listed = [path for given in inputs.values() for path in np.atleast_1d(given).tolist()]
        order = Order(
            stage,
            fingerprint(stage, Settings()),
            {name: section.model_dump(mode="json") for name, section in sections.items()},
            (*listed, *raw),
            tuple(outputs.values()),
            self.places,
        )
        module(stage).run(**inputs, **outputs, **sections, **facts)
        order.leave_receipt(order.inputs_now())

    def work(self):
        for export, content in self.contents.items():
            stem = self.made / "raw" / raw_name(content)
            outputs = {"samples": f"{stem}.parquet", "beats": f"{stem}.beats.parquet"}
            for name, path in outputs.items():
                self.raw[name].append(path)
            facts = {"export": export, "content": content, "hints": "{}"}
            self.do("parse", (), outputs, [export], **facts)
        facts = {"exports": self.contents, "card": [], "session": "s", "title": "S"}
        facts |= {"register": json.dumps({"devices": REGISTER}), "wearer": "{}"}
        self.do("intake", ("samples", "beats"), raw=self.contents, **facts)
        self.do("normalise", ("samples", "beats", "intake"))
        self.do("align", ("intake", "recordings", "channels"))
        self.do("measure", ("intake", "recordings", "clocks", "aligned"))
        self.do("episodes", ("intake", "channels", "clocks", "aligned"))
        return self


@pytest.fixture(scope="module")
def worked(tmp_path_factory):
    with pytest.MonkeyPatch.context() as registered:
        registered.setattr(registry, "METRICS", (*registry.METRICS, MIDDLE))
        registered.setattr(kinds, "KINDS", (TWICE, *kinds.KINDS))
        yield Session(tmp_path_factory.mktemp("toys")).work()


def page():
    return rendered(
        METHOD,
        Presentation(),
        context(Settings().model_dump(mode="json"), {}, {}, Tolerance(), Criteria()),
    )


def test_a_figure_is_in_the_table_with_its_unit(worked):
    table = METRICS.read(worked.made / "metrics.parquet", metric=[MIDDLE.key])
    whole = table[(table["scope"] == "whole") & (table["alignment"] == "settled")]
    assert whole[["value", "unit"]].values.tolist() == [[2.0, "bpm"]]
    assert whole["ci_low"].isna().all()


def test_a_figure_is_traced_to_its_seconds_and_comes_out_the_same(worked, capsys):
    where = ["--results", str(worked.places.results), "--inbox", str(worked.places.inbox)]
    where += ["--alignment", "settled"]
    assert main(["trace", "s", "watch", MIDDLE.key, *where]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Middle difference (middle_difference) of Watch in s: 2" in said
    assert "median of d − r" in said and "the second that is furthest off" in said
    assert said.endswith(": equal.")


def test_a_figure_is_on_the_pages(worked):
    assert MIDDLE.name in page() and MIDDLE.formula in page() and MIDDLE.interval.words in page()
    needed = {"metrics": "metrics.parquet", "aligned": "aligned.parquet", "ledger": "ledger.json"}
    files = {name: str(worked.made / file) for name, file in needed.items()}
    files |= {"intake": str(worked.made / "intake.json")}
    tables = SessionTables.read(files, Tolerance(), needed)
    figures = Figures(tables.metrics)
    rows = figure_table(tables.intake, figures, registry.METRICS, Tolerance())
    rows = {row[0]: row for row in rows}
    assert rows["Middle difference, bpm"][1:][0] == MIDDLE.meaning
    parts = origins(tables)
    rows = [row for part in parts for row in part["rows"] if "Middle" in row["title"]]
    assert [row["result"] for row in rows] == ["equal"]


def test_a_fault_is_in_the_table_with_its_reason(worked):
    rows = EPISODES.read(worked.made / "episodes.parquet").to_dict("records")
    (found,) = [row for row in rows if row["kind"] == TWICE.key]
    # The clock may be moved by part of a second.
    assert abs(found["start_s"] - 300) <= 1 and abs(found["end_s"] - 340) <= 1
    assert found["evidence"] == f"The device showed twice the rate from second {found['start_s']}."


def test_a_fault_is_told_in_sentences_lanes_and_tables(worked):
    told = SENTENCES.read(worked.made / "sentences.parquet")
    by_form = told.groupby("form", observed=True)["text"].apply(" ".join)
    assert "twice the heart rate from " in by_form["title"]
    assert "showed twice the rate, up to " in by_form["course"]
    found, courses = (
        table.read(worked.made / f"{table.name}.parquet") for table in (EPISODES, COURSES)
    )
    assert "twice once, 40 s" in summary(found)
    told = device_faults(
        "watch", "Watch", faults(found, courses, 10, OverAll()), CONDITIONS.empty(), Claims()
    )
    (row,) = [row for row in told.rows if row["name"] == TWICE.name]
    assert row["sessions_with"] == 1
    assert "it showed twice the heart rate" in " ".join(told.sentences)


def test_a_fault_is_on_the_page_of_the_method(worked):
    assert TWICE.name in page() and TWICE.how in page()
