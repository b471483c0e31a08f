"""An archive is verified, and whatever is broken in it is named."""

import dataclasses
import json
import shutil

import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from breakable import SESSION, put

from strapline.ground.files import sha256_of, write_model
from strapline.ground.tables.sessions import METRICS
from strapline.keeping.receipts import read_receipt, receipt_path

NAME = f"results/sessions/{SESSION}"


def accept(archive, path, first_output):
    """Write into a receipt what a file is now, as a forger would."""
    note = receipt_path(archive.places, first_output)
    receipt = read_receipt(note)
    outputs = receipt.outputs | {archive.places.name_of(path): sha256_of(path)}
    note.unlink()
    write_model(note, receipt.model_copy(update={"outputs": outputs}))


def found(archive, capsys, code=1):
    assert archive.verify() == code
    return capsys.readouterr().out


def with_value(path, metric, change):
    frame = METRICS.read(path)
    chosen = (frame["metric"] == metric) & (frame["scope"] == "whole")
    frame.loc[chosen & (frame["alignment"] == "settled"), "value"] += change
    path.unlink()
    METRICS.write(frame, path)


def test_the_demo_is_as_it_was_made(whole_archive, capsys):
    assert whole_archive.verify() == 0
    said = capsys.readouterr().out
    assert said.startswith("28 sessions, ") and said.endswith("nothing was changed.\n")


def test_what_all_sessions_share_and_what_may_have_been_handed_on(whole_archive, capsys):
    """This is told and left; also where nothing but the edition itself says what it was."""
    results = whole_archive.places.results
    page = results / "report" / "index.html"
    put(page, page.read_bytes().replace(b"bpm", b"bqm", 1))
    path = results / "archive" / "standings.parquet"
    table = pd.read_parquet(path)
    path.unlink()
    table.to_parquet(path)
    (edition,) = results.glob("editions/0001-*")
    part = next(iter(sorted(edition.glob("parts/*.parquet"))))
    put(part, content := part.read_bytes()[:-1] + b"\0")
    put(edition / "edition.json", (edition / "edition.json").read_bytes() + b" ")
    said = found(whole_archive, capsys)
    assert (
        "Was changed since the stage site wrote it" in said and "results/report/index.html" in said
    )
    assert "Was changed since the stage aggregate wrote it" in said
    assert "Is not a table as it should be: column 'device' may have missing values" in said
    assert "left as it is, since you may have passed it on" in said
    for path in (part, edition / "edition.json"):
        assert f"  {whole_archive.places.name_of(path)}\n" in said
    assert part.read_bytes() == content
    put(results / "settled.json", b"")
    assert f"  {whole_archive.places.name_of(part)}\n" in found(whole_archive, capsys)


def test_a_device_that_is_another_in_the_register_is_told(archive, capsys, tmp_path):
    config = tmp_path / "config"
    shutil.copytree(archive.settings.parent, config)
    register = config / "devices.yaml"
    register.write_text(register.read_text().replace("label: Harbour watch", "label: Harbor"))
    changed = dataclasses.replace(archive, settings=config / archive.settings.name)
    assert "when the register said otherwise about harbour-watch" in found(changed, capsys)


def test_one_session_can_stand_alone(archive, capsys):
    assert archive.verify() == 0
    assert capsys.readouterr().out.startswith("1 session, ")


def test_a_flipped_bit_in_a_raw_file(archive, capsys):
    export = archive.places.inbox / SESSION / "harbour-watch.fit"
    content = bytearray(export.read_bytes())
    content[len(content) // 2] ^= 1
    put(export, bytes(content))
    said = found(archive, capsys)
    assert "Has changed since it was read" in said
    assert f"inbox/{SESSION}/harbour-watch.fit" in said and "one problem" in said


def test_a_raw_file_that_is_gone(archive, capsys):
    (archive.places.inbox / SESSION / "harbour-watch.fit").unlink()
    said = found(archive, capsys)
    assert (
        f"Is missing since it was read; `snakemake` computes the rest again.\n  inbox/{SESSION}"
        in said
    )


def test_a_session_that_has_left_the_inbox(archive, capsys):
    shutil.rmtree(archive.places.inbox / SESSION)
    said = found(archive, capsys)
    assert "Belongs to a session that is no longer in the inbox. Put its exports back, or" in said
    assert f"  {NAME}\n" in said
    assert "`snakemake` makes" not in said


def test_a_session_card_that_has_changed(archive, capsys):
    put(archive.places.inbox / SESSION / "session.yaml", b"activity: walk\n")
    assert f"inbox/{SESSION}/session.yaml" in found(archive, capsys)


def test_an_altered_value(archive, capsys):
    with_value(archive.session / "metrics.parquet", "mae", 0.5)
    said = found(archive, capsys)
    assert (
        "Was changed since the stage measure wrote it; `snakemake` moves it aside and writes it "
        "again."
        f"\n  {NAME}" in said
    )
    assert "Holds a figure that its rows do not give." in said
    assert f"{NAME}/metrics.parquet: mae of harbour-watch, whole, settled: " in said
    assert "Shows another figure than the table has." in said


def test_an_altered_value_with_a_forged_receipt(archive, capsys):
    path = archive.session / "metrics.parquet"
    with_value(path, "bias", -1.0)
    accept(archive, path, f"{NAME}/metrics.parquet")
    said = found(archive, capsys)
    assert "Was changed since the stage" not in said
    assert "metrics.parquet: bias of harbour-watch, whole, settled: " in said
    assert "Was made from another input; `snakemake` writes it again." in said
    assert f"{NAME}/charts/band-minutes.json, from {NAME}/metrics.parquet" in said


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda t: t.drop_columns(["unit"]), "column 'unit' is missing"),
        (lambda t: t.append_column("stars", pa.array([1] * len(t))), "no column 'stars' belongs"),
        (
            lambda t: t.set_column(12, "n", t["n"].cast(pa.float64())),
            "column 'n' is of type double, not int64",
        ),
        (
            lambda t: t.cast(pa.schema([f.with_nullable(True) for f in t.schema])),
            "column 'session' may have missing values",
        ),
    ],
)
def test_a_table_that_breaks_its_contract(archive, capsys, change, told):
    path = archive.session / "metrics.parquet"
    table = change(pq.read_table(path))
    path.unlink()
    pq.write_table(table, path)
    said = found(archive, capsys)
    assert f"Is not a table as it should be: {told}" in said and f"{NAME}/metrics.parquet" in said


def test_a_table_that_is_none(archive, capsys):
    put(archive.session / "offsets.parquet", b"no table")
    assert f"Cannot be read as a Parquet table.\n  {NAME}/offsets.parquet" in found(archive, capsys)


def test_a_ledger_that_does_not_sum(archive, capsys):
    path = archive.session / "ledger.json"
    content = json.loads(path.read_text())
    content["comparisons"][0]["seconds"]["used"] += 1
    put(path, json.dumps(content).encode())
    assert "Does not add up" in found(archive, capsys)


def test_a_ledger_that_sums_but_lies(archive, capsys):
    path = archive.session / "ledger.json"
    content = json.loads(path.read_text())
    for key in ("total", "used"):
        content["comparisons"][0]["seconds"][key] += 1
        content["recordings"][0]["samples"]["total"] += 1
        content["recordings"][0]["samples"]["left_out"]["x"] = 2
    put(path, json.dumps(content).encode())
    said = found(archive, capsys)
    assert "Counts other seconds than the table has." in said
    assert "Counts other samples than the raw table holds." in said


@pytest.mark.parametrize(("page", "ending"), [("page", ".html"), ("origin", ".origin.html")])
def test_a_figure_shown_that_is_not_the_tables(archive, capsys, page, ending):
    figures = archive.page.with_name(f"{SESSION}.figures.json")
    content, place = json.loads(figures.read_text("utf-8")), "harbour-watch.settled.mae"
    shown = content[page][place]
    content[page][place] = f"{shown[:-1]}{(int(shown[-1]) + 1) % 10}"
    put(figures, json.dumps(content).encode())
    accept(archive, figures, f"results/report/sessions/{SESSION}.html")
    said = found(archive, capsys)
    assert "Shows another figure than the table has." in said
    assert f"{SESSION}{ending}: {place} is {content[page][place]}, in the table {shown[:2]}" in said
    assert "one problem" in said


@pytest.mark.parametrize("ending", [".html", ".origin.html", ".seconds.js", ".figures.json"])
def test_an_edited_page_is_told_by_its_receipt(archive, capsys, ending):
    page = archive.page.with_name(f"{SESSION}{ending}")
    put(page, page.read_bytes() + b"\n")
    said = found(archive, capsys)
    name = archive.places.name_of(page)
    assert "Was changed since the stage session_page wrote it; `snakemake` moves it aside" in said
    assert f"  {name}\n" in said and "one problem" in said


def test_another_setting(archive, capsys, tmp_path):
    text = archive.settings.read_text("utf-8")
    other = tmp_path / "settings.yaml"
    other.write_text(f"{text}\ntolerance: {{beats: 4, percent: 10}}\n")
    told = archive.__class__(archive.places, other)
    said = found(told, capsys)
    assert "Was made with tolerance.beats 5.0, which is now 4.0" in said
    assert f"{NAME}/metrics.parquet" in said and f"{NAME}/alignment.json" not in said


def test_other_code(archive, capsys, monkeypatch):
    note = receipt_path(archive.places, f"{NAME}/alignment.json")
    receipt = read_receipt(note).model_copy(update={"method": "align:0123456789abcdef"})
    note.unlink()
    write_model(note, receipt)
    said = found(archive, capsys, code=0)
    files = f"{len(receipt.outputs)} files of align"
    told = f"an earlier version of Strapline or of a library, and not changed since: {files}"
    assert told in " ".join(said.split())
    assert "nothing was changed" in said
    table = archive.session / "metrics.parquet"
    put(table, table.read_bytes() + b"more")
    assert "Was changed since the stage measure wrote it" in found(archive, capsys)


def test_files_that_no_job_left(archive, capsys):
    (archive.session / ".metrics.parquet.unfinished").write_text("half")
    (archive.session / "mine.parquet").write_text("half")
    said = found(archive, capsys)
    assert f"did not finish. Delete it.\n  {NAME}/.metrics.parquet.unfinished" in said
    assert (
        f"Has no receipt: Strapline did not write it, or lost the receipt.\n  {NAME}/mine.parquet"
        in said
    )


def test_a_receipt_of_a_stage_that_is_no_more(archive, capsys):
    """What it was of may be made by another stage by now, and is then right."""
    name = f"{NAME}/metrics.parquet"
    receipt = read_receipt(receipt_path(archive.places, name))
    once = receipt.model_copy(update={"stage": "once", "outputs": {name: "0" * 64}})
    write_model(receipt_path(archive.places, f"{NAME}/once.parquet"), once)
    (archive.session / "once.parquet").write_text("left over")
    said = found(archive, capsys)
    assert "Is of an old stage, once. Delete it.\n  results/receipts/sessions/" in said
    assert (
        f"Has no receipt: Strapline did not write it, or lost the receipt.\n  {NAME}/once.parquet"
        in said
    )
    assert "2 problems" in said


def test_an_empty_folder_is_no_archive(archive, capsys, tmp_path):
    gone = archive.__class__(archive.places.__class__(tmp_path / "no", tmp_path), archive.settings)
    assert gone.verify() == 2
    assert "holds no sessions" in capsys.readouterr().err
