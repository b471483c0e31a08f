"""What is not as a job made it, and what is in the place of what it is to make."""

import os

import pytest

from strapline.ground.files import sha256_of
from strapline.keeping.as_made.look import Found, Look
from strapline.keeping.as_made.notes import Job
from strapline.keeping.as_made.set_aside import moved_aside
from strapline.keeping.receipts import Order, Places, receipt_path

TABLE, PICTURES = "results/sessions/first/aligned.parquet", "results/sessions/first/charts"
PICTURE = f"{PICTURES}/traces.svg"
MADE = {TABLE: False, PICTURES: True}
JOB = Job("align", MADE)
EXPORT, CONTENT = "inbox/first/strap.csv", "c0ffee"


@pytest.fixture
def places(tmp_path):
    return Places(tmp_path / "results", tmp_path / "inbox")


@pytest.fixture
def look(places):
    """Of a job that is done, and noted."""
    made = Look(places, {}, {"align": "m", "chart": "m"}, {EXPORT: CONTENT}.get)
    done(made, JOB, {})
    return made


def done(look, job, inputs, method="m"):
    places = look.places
    for name, is_folder in job.outputs.items():
        path = places.path_of(name)
        file = path / "traces.svg" if is_folder else path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(f"what {name} says")
    outputs = tuple(str(places.path_of(name)) for name in job.outputs)
    raw = {str(places.path_of(EXPORT)): CONTENT}
    order = Order(job.stage, method, {}, (), outputs, places, raw)
    look.note(order, order.leave_receipt(inputs | {EXPORT: CONTENT}))


def at(look, *made_from):
    """What is found with the notes of now and with none: it must be the same."""
    without = Look(look.places, {}, look.methods, {EXPORT: CONTENT}.get)
    found = look.at(JOB, made_from)
    assert without.at(JOB, made_from) == found
    return found


def test_what_is_as_it_was_made_is_noted(look):
    assert at(look) == Found()
    fresh = Look(look.places, {}, look.methods, {EXPORT: CONTENT}.get)
    assert not fresh.is_noted(JOB)
    fresh.at(JOB)
    assert fresh.is_noted(JOB) and fresh.notes == look.notes
    assert not list(fresh.foreign(JOB))


def test_nothing_is_read_where_sizes_and_times_are_as_noted(look, monkeypatch):
    monkeypatch.setattr("strapline.keeping.as_made.look.read_receipt", None)
    monkeypatch.setattr("strapline.keeping.receipts.sha256_of", None)
    assert look.at(JOB) == Found()


def test_a_file_that_was_only_touched_is_as_it_was_made(look):
    os.utime(look.places.path_of(TABLE), ns=(1, 1))
    assert at(look) == Found()


@pytest.mark.parametrize("content", ["other", ""])
@pytest.mark.parametrize(("name", "output"), [(TABLE, TABLE), (PICTURE, PICTURES)])
def test_an_edit_is_found_and_is_in_the_way(look, name, output, content):
    look.places.path_of(name).write_text(content)
    assert at(look) == Found(missing=frozenset({output}), altered=(name,))
    assert list(look.foreign(JOB)) == [name]


def test_what_is_gone_is_made_again(look):
    look.places.path_of(PICTURE).unlink()
    assert at(look) == Found(missing=frozenset({PICTURES}), gone=(PICTURE,))
    assert not list(look.foreign(JOB))


def test_an_output_that_its_rule_gained_was_never_there(look):
    more = Job("align", MADE | {"results/sessions/first/differences.parquet": False})
    found = look.at(more, ())
    assert found.missing == {"results/sessions/first/differences.parquet"} and found.gone == ()


def test_a_job_that_was_never_done_has_lost_nothing(places):
    never = Look(places, {}, {"align": "m"}, {}.get)
    assert never.at(JOB) == Found(missing=frozenset(MADE))


@pytest.mark.parametrize("name", [TABLE, PICTURES])
def test_what_took_the_place_of_an_output_is_in_the_way(look, name):
    path = look.places.path_of(name)
    path.rename(path.with_name("elsewhere"))
    path.symlink_to(path.with_name("elsewhere"))
    assert name in at(look).altered
    assert list(look.foreign(JOB)) == [name]
    path.unlink()
    path.write_text("a file") if name == PICTURES else path.mkdir()
    assert name in at(look).altered
    assert list(look.foreign(JOB)) == [name]


@pytest.mark.parametrize("as_link", [True, False])
def test_what_took_the_place_of_a_folder_above_is_in_the_way(look, as_link):
    folder = look.places.path_of("results/sessions/first")
    elsewhere = folder.rename(look.places.results / "elsewhere")
    folder.symlink_to(elsewhere) if as_link else folder.write_text("a file")
    found = at(look)
    assert "results/sessions/first" in found.altered and found.missing == MADE.keys()
    assert list(look.foreign(JOB)) == ["results/sessions/first"]


def test_a_stranger_in_a_folder_is_in_the_way_and_no_fault(look):
    folder = look.places.path_of(PICTURES)
    (folder / "mine").mkdir()
    (folder / "mine" / "notes.txt").write_text("mine")
    (folder / ".snakemake_timestamp").write_text("")
    assert at(look) == Found()
    assert list(look.foreign(JOB)) == [f"{PICTURES}/mine"]


def test_without_a_receipt_what_is_noted_is_still_known(look):
    receipt_path(look.places, TABLE).unlink()
    assert look.at(JOB).missing == MADE.keys()
    assert not list(look.foreign(JOB))
    without = Look(look.places, {}, look.methods, {}.get)
    assert list(without.foreign(JOB)) == [TABLE, PICTURE]


def test_a_receipt_of_another_job_is_none(look):
    other = Job("chart", {PICTURES + "-2": True})
    done(look, other, {})
    own = receipt_path(look.places, TABLE)
    own.write_bytes(receipt_path(look.places, other.name).read_bytes())
    assert look.at(JOB).missing == MADE.keys()
    assert f"results/receipts/{TABLE.removeprefix('results/')}.json" in list(look.foreign(JOB))


def test_a_receipt_that_was_put_back_decides(look):
    own = receipt_path(look.places, TABLE)
    own.write_text(own.read_text().replace(sha256_of(look.places.path_of(TABLE)), "0" * 64))
    assert at(look) == Found(missing=frozenset({TABLE}), altered=(TABLE,))


def test_a_pipe_in_place_of_a_receipt_is_not_waited_for(look):
    own = receipt_path(look.places, TABLE)
    own.unlink()
    os.mkfifo(own)
    assert look.at(JOB).missing == MADE.keys()


def test_another_method_or_another_raw_file_makes_it_outdated(look):
    for methods, contents in (({"align": "n"}, {EXPORT: CONTENT}), ({"align": "m"}, {EXPORT: "1"})):
        for notes in (look.notes, {}):
            assert Look(look.places, notes, methods, contents.get).at(JOB) == Found(outdated=True)


def test_what_was_made_from_an_edit_that_was_undone_is_stale(look):
    other = Job("chart", {"results/sessions/first/page.html": False})
    done(look, other, {TABLE: "what it was once"})
    look.confirm(other, [JOB])
    assert not look.is_noted(other)
    assert look.at(other, [JOB]) == Found(stale=(TABLE,))
    # By the file itself, where the job that made it is not among those of the run.
    assert look.at(other) == Found(stale=(TABLE,))


def test_files_are_noted_with_the_times_that_snakemake_gives_them(look):
    def dated(was_whole):
        os.utime(look.places.path_of(TABLE), ns=(1, 1))
        look.date_again(JOB, was_whole)
        return look.is_noted(JOB) and look.is_as_noted(JOB)

    assert dated(was_whole=True)
    assert not dated(was_whole=False)


def test_nothing_takes_the_place_of_what_was_set_aside_before(places):
    for number in (1, 2):
        path = places.path_of(TABLE)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(f"{number}")
        new = moved_aside(places, TABLE)
        assert new == f"results/set-aside/{number}/sessions/first/aligned.parquet"
        assert places.path_of(new).read_text() == f"{number}" and not path.exists()
    path.parent.rmdir()
    path.parent.symlink_to(places.results)
    assert moved_aside(places, "results/sessions/first") == "results/set-aside/3/sessions/first"
    assert places.path_of("results/set-aside/3/sessions/first").is_symlink()


@pytest.mark.parametrize("name", [TABLE, PICTURE])
def test_a_file_that_nobody_may_read_is_in_the_way(look, name):
    """Whoever asks: one who may read everything is told the same."""
    look.places.path_of(name).chmod(0)
    found = at(look)
    assert found.altered == (name,) and found.missing
    assert list(look.foreign(JOB)) == [name]


def test_a_receipt_behind_a_link_is_none(look, tmp_path):
    folder = receipt_path(look.places, TABLE).parent
    folder.rename(tmp_path / "elsewhere")
    folder.symlink_to(tmp_path / "elsewhere")
    link = look.places.name_of(folder)
    found = look.at(JOB)
    assert found.missing == MADE.keys() and found.altered == (link,)
    assert list(look.foreign(JOB)) == [link]
