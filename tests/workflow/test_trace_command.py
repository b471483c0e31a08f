"""Every published figure leads back to its raw file, and comes out the same from its rows."""

import json
import re

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from breakable import SESSION, put

from strapline.ground.records.intake import read_intake
from strapline.ground.tables.archive import FINDINGS
from strapline.ground.tables.recordings import SAMPLES
from strapline.ground.tables.sessions import METRICS, STATED
from strapline.ground.vocabulary import Scope
from strapline.method.metrics import registry
from strapline.running.commands import main

DEVICE = "harbour-watch"
NO_SHORT_PATH = {"delay_rising", "delay_falling", "effective_n"}


def trace(archive, *arguments):
    return main(["trace", *arguments, *archive.where()])


@pytest.mark.parametrize("view", ["settled", "delay_out"])
def test_every_figure_comes_out_as_published(archive, capsys, view):
    for metric in (each.key for each in registry.METRICS):
        assert trace(archive, SESSION, DEVICE, metric, "--alignment", view, "--rows", "0") == 0
        said = capsys.readouterr().out
        assert max(map(len, said.splitlines())) <= 100
        *_, last = said.strip().split("\n\n")
        assert ("for there is no simple one" in last) == (metric in NO_SHORT_PATH)
        assert last.endswith(": equal.") == (metric not in NO_SHORT_PATH)


def test_every_scope_can_be_traced(archive, capsys):
    metrics = METRICS.read(archive.session / "metrics.parquet")
    for scope in metrics.loc[metrics["recording"] == DEVICE, "scope"].unique():
        metric = "sd_of_differences" if scope.startswith(Scope.AGAINST) else "mae"
        assert trace(archive, SESSION, DEVICE, metric, "--scope", scope) == 0
        assert ": equal." in capsys.readouterr().out


def test_a_maximum_leads_to_the_sample_that_decides(archive, capsys):
    assert trace(archive, SESSION, DEVICE, "maximum_device", "--rows", "0") == 0
    said = " ".join(capsys.readouterr().out.split())
    (number, bpm) = re.findall(r"samples of harbour-watch.fit: no\. (\d+) at \S+ (\d+) bpm", said)[
        0
    ]
    recordings = read_intake(archive.session / "intake.json").recordings
    (raw,) = [recording.raw for recording in recordings if recording.recording == DEVICE]
    samples = SAMPLES.read(archive.session / "raw" / f"{raw}.parquet")
    assert samples["heart_rate_bpm"].max() == float(bpm)
    assert samples.set_index("ordinal")["heart_rate_bpm"][int(number)] == float(bpm)
    assert "(the highest reading decides)" in said and "RR intervals of plain-strap.fit" in said


def test_an_account_names_formula_settings_seconds_and_raw_files(archive, capsys):
    assert trace(archive, SESSION, DEVICE, "within_beats") == 0
    said = " ".join(capsys.readouterr().out.split())
    for part in (
        "share of seconds with abs(d − r) ≤ 5 bpm",
        "EC13",
        "tolerance (beats 5.0, percent 10.0)",
        "left out (after recording 5, before recording 2)",
        "block bootstrap",
        "harbour-watch.fit, unchanged since it was read",
    ):
        assert part in said


def test_an_altered_figure_is_not_equal(archive, capsys):
    path = archive.session / "metrics.parquet"
    frame = METRICS.read(path)
    frame.loc[frame["metric"] == "bias", "value"] += 1e-6
    path.unlink()
    METRICS.write(frame, path)
    assert trace(archive, SESSION, DEVICE, "bias") == 1
    assert "NOT EQUAL" in capsys.readouterr().out
    assert trace(archive, SESSION.upper(), DEVICE.title(), "MAE") == 0
    assert trace(archive, SESSION, DEVICE, "mae") == 0


def stated_in(whole_archive):
    for path in sorted(whole_archive.places.results.glob("sessions/*/stated.parquet")):
        for row in STATED.read(path).to_dict("records"):
            yield path, row


def test_what_an_app_states_leads_to_the_card_and_to_what_it_is_held_against(whole_archive, capsys):
    against = set()
    for _, row in stated_in(whole_archive):
        assert trace(whole_archive, row["session"], row["device"], row["figure"]) == 0
        said = " ".join(capsys.readouterr().out.split())
        assert said.startswith(row["sentence"]) and said.endswith(": equal.")
        assert f"under stated beside {row['device']} in session.yaml" in said
        assert "unchanged since it was read" in said
        against.add(row["against"])
    assert against == {"own_export", "the_strap"}


def test_a_stated_figure_that_is_held_against_another_is_not_equal(whole_archive, capsys):
    path, row = next(stated_in(whole_archive))
    table = STATED.read(path)
    path.unlink()
    STATED.write(table.assign(measured=table["measured"] + 1e-6), path)
    assert trace(whole_archive, row["session"], row["device"], row["figure"]) == 1
    assert "NOT EQUAL" in " ".join(capsys.readouterr().out.split())
    assert trace(whole_archive, SESSION, DEVICE, "stated_average") == 2
    assert f"No app states anything in {SESSION}." in capsys.readouterr().err


def test_a_raw_file_that_has_changed_is_told(archive, capsys):
    export = archive.places.inbox / SESSION / "harbour-watch.fit"
    put(export, export.read_bytes() + b"\0")
    assert trace(archive, SESSION, DEVICE, "mae") == 0
    assert "CHANGED since it was read" in " ".join(capsys.readouterr().out.split())
    export.unlink()
    assert trace(archive, SESSION, DEVICE, "mae") == 0
    assert "not there any more" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("device", "figure", "title"),
    [
        (DEVICE, "Mean absolute error", "Mean absolute error (mae) of Harbour watch"),
        ("Harbour Watch", "average error", "Mean absolute error (mae) of Harbour watch"),
        ("harbour watch", "within 5 BPM", "Within 5 bpm (within_beats) of Harbour watch"),
        (
            "Harbour watch",
            "Highest, minus strap’s highest",
            "Highest, minus strap’s highest (maximum_difference) of",
        ),
    ],
)
def test_the_words_of_pages_are_known(archive, capsys, device, figure, title):
    assert trace(archive, SESSION, device, figure, "--rows", "0") == 0
    assert capsys.readouterr().out.startswith(title)


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ((SESSION, DEVICE, "mean absolut error"), "Did you mean 'Mean absolute error'?"),
        (("2026-04-02-run-mia", DEVICE, "mae"), f"Did you mean '{SESSION}'?"),
        ((SESSION, "harbor-watch", "mae"), "There are: harbour-watch, thimble-band."),
        ((SESSION, DEVICE, "mea"), "There are: mean_reference, mean_device, bias"),
        ((SESSION, DEVICE, "mae", "--scope", "hole"), "Did you mean 'whole'?"),
    ],
)
def test_what_is_not_there_is_answered_with_what_is(archive, capsys, asked, told):
    assert trace(archive, *asked) == 2
    assert told in capsys.readouterr().err


def without(column):
    """As a version would have written it that did not know the column."""

    def spoil(path):
        table = pq.read_table(path)
        path.unlink()
        pq.write_table(table.drop_columns([column]), path)

    return spoil


def without_metadata(path):
    table = pq.read_table(path)
    fields = [field.remove_metadata() for field in table.schema]
    path.unlink()
    pq.write_table(table.cast(pa.schema(fields)), path)


def damaged(content):
    """Only the footer is as it was."""
    return content[:4] + bytes(len(content) // 2) + content[4 + len(content) // 2 :]


def of_json(**changed):
    def spoil(path):
        put(path, json.dumps(json.loads(path.read_bytes()) | changed).encode())

    return spoil


@pytest.mark.parametrize(
    ("file", "spoil", "reason"),
    [
        ("metrics.parquet", without("metric"), "column 'metric' is missing"),
        ("metrics.parquet", without_metadata, "has another unit or meaning"),
        ("aligned.parquet", without("reference_bpm"), "column 'reference_bpm' is missing"),
        ("aligned.parquet", lambda path: put(path, b"PAR1"), "it is no Parquet table"),
        ("recordings.parquet", without_metadata, "has another unit or meaning"),
        ("aligned.parquet", lambda path: put(path, damaged(path.read_bytes())), "it is damaged"),
        ("alignment.json", of_json(clocks=[]), f"nothing of {DEVICE}"),
        ("alignment.json", of_json(clocks=3), "clocks: "),
        ("intake.json", of_json(mood="good"), "mood: "),
        ("ledger.json", lambda path: put(path, b"{"), "Invalid JSON"),
    ],
)
@pytest.mark.parametrize("command", ["trace", "package"])
def test_results_of_another_version_are_told(archive, capsys, command, file, spoil, reason):
    spoil(archive.session / file)
    if command == "trace":
        assert trace(archive, SESSION, DEVICE, "mae") == 2
        told = capsys.readouterr().err
        assert f"{file} is not as this version of Strapline makes it ({reason}" in told or (
            reason == "has another unit or meaning" and reason in told
        )
    else:
        assert main(["package", SESSION, *archive.where()]) == 2
        told = capsys.readouterr().err
    assert told.count("\n") == 1 and "`snakemake`" in told


@pytest.mark.parametrize(
    "changed",
    [{"method": "measure:0"}, {"settings": {}}, {"settings": {"tolerance": {"beats": 0}}}],
)
def test_figures_that_other_code_made_are_not_traced(archive, capsys, changed):
    note = archive.places.results / "receipts" / "sessions" / SESSION / "metrics.parquet.json"
    of_json(**changed)(note)
    assert trace(archive, SESSION, DEVICE, "mae") == 2
    assert "metrics.parquet was made by another version of Strapline; type" in (
        capsys.readouterr().err
    )
    of_json(inputs=[])(note)
    assert trace(archive, SESSION, DEVICE, "mae") == 2
    assert "metrics.parquet has no receipt; type" in capsys.readouterr().err


def test_the_page_leads_from_each_figure_to_its_origin(archive):
    page = archive.page.read_text("utf-8")
    origin = archive.page.with_name(f"{SESSION}.origin.html").read_text("utf-8")
    links = re.findall(r'class="origin" href="([^"#]*)#([^"]*)"', page)
    assert {file for file, _ in links} == {f"{SESSION}.origin.html"}
    places = set(re.findall(r'<tr class="first" id="([^"]*)"', origin))
    assert {place for _, place in links} == places and len(places) > 50
    assert "not equal" not in origin and "<td>equal</td>" in origin
    assert f"strapline trace {SESSION} {DEVICE} mae</code>" in origin


@pytest.mark.parametrize("statistic", ["mape_median", "mape_highest", "met_mape", "met_within"])
def test_a_statistic_over_sessions_comes_out_as_published(whole_archive, capsys, statistic):
    assert trace(whole_archive, "--finding", DEVICE, "run", statistic) == 0
    said = capsys.readouterr().out
    assert said.strip().endswith(": equal.") and f"  {SESSION}  " in said


def test_an_altered_statistic_is_not_equal(whole_archive, capsys):
    path = whole_archive.places.results / "archive" / "findings.parquet"
    frame = FINDINGS.read(path)
    frame.loc[frame["statistic"] == "mape_median", "value"] += 1e-6
    path.unlink()
    FINDINGS.write(frame, path)
    assert trace(whole_archive, "--finding", DEVICE, "run", "mape_median") == 1
    assert trace(whole_archive, "--finding", DEVICE, "run", "bias") == 0
    assert "for there is no simple one" in capsys.readouterr().out
    assert trace(whole_archive, "--finding", DEVICE, "jog", "bias") == 2
    assert "There are: all activities, " in capsys.readouterr().err
