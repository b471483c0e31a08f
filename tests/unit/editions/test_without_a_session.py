"""One session is taken out of what was published, and nothing else is touched."""

import json

import pyarrow.parquet as pq
import pytest
from states import rows, state

from strapline.ground.tables.editions import CORRECTIONS, PUBLISHED
from strapline.keeping.editions.history import changes_of, keep, kept
from strapline.keeping.editions.in_force import Sources
from strapline.keeping.editions.published import write_published
from strapline.keeping.editions.without import FORGOTTEN, holdings, take_out

OWN, OTHER = Sources(exports={"watch.csv": "1"}), Sources(exports={"watch.csv": "2"})


@pytest.fixture
def history(tmp_path):
    return tmp_path / "editions"


def publish(history, values, sessions, **corrections):
    """One part a session, as parts of few sessions are."""
    gathered = history.parent / "parts"
    gathered.mkdir(exist_ok=True)
    files = {name: gathered / f"{name}.parquet" for name in values}
    for name, path in files.items():
        frame = rows(**{name: values[name]})
        if name in corrections:
            said = {"place": CORRECTIONS, "figure": "correction", "value": None}
            frame = PUBLISHED.joined([frame, frame.assign(**said, wording=corrections[name])])
        write_published(frame, path)
    return keep(history, rows(_=0.0), files, state(sessions=sessions))


def said(history, session):
    """What each edition says of it."""
    parts = [sorted((history / each.folder / "parts").glob("*.parquet")) for each in kept(history)]
    frames = [PUBLISHED.read(own).astype({"session": str}) for own in parts]
    return [frame[frame["session"] == session].to_csv(index=False) for frame in frames]


def four(history):
    """`b` comes, is corrected, and goes; `a` is corrected twice."""
    publish(history, {"a": 1.0}, {"a": OTHER})
    publish(history, {"a": 1.0, "b": 5.0}, {"a": OTHER, "b": OWN})
    both = {"a": OTHER, "b": Sources(exports={"watch.csv": "3"})}
    publish(history, {"a": 2.0, "b": 6.0}, both, a="It had slipped.", b="It was late.")
    publish(history, {"a": 3.0}, {"a": OTHER}, a="It had slipped.")


def test_what_is_held_is_told_before(history):
    four(history)
    held = holdings(history, "b")
    # The last only says that it went.
    assert [(h.edition.number, h.rows, h.is_corrected, h.is_whole) for h in held] == [
        (2, 1, False, False),
        (3, 2, True, False),
        (4, 0, False, False),
    ]
    assert holdings(history, "c") == []


def test_other_sessions_keep_all_that_was_said_of_them(history):
    four(history)
    before = said(history, "a")
    corrections = [changes_of(history, edition) for edition in kept(history)]
    take_out(history, holdings(history, "b"), "b")
    assert said(history, "a") == before and len(set(before)) == 3
    for then, edition in zip(corrections, kept(history), strict=True):
        now = changes_of(history, edition)
        others = then[then["session"] != "b"].reset_index(drop=True)
        assert now["figure"].tolist() == others["figure"].tolist()
        assert edition.moved == {kind: int((now["change"] == kind).sum()) for kind in edition.moved}
    assert [edition.number for edition in kept(history)] == [1, 2, 3, 4]
    assert holdings(history, "b") == []


def test_nothing_names_it_afterwards(history):
    publish(history, {"mine-1": 1.0}, {"mine-1": OTHER})
    publish(history, {"mine-1": 1.0, "mine-10": 5.0}, {"mine-1": OTHER, "mine-10": OWN})
    publish(history, {"mine-10": 5.0}, {"mine-10": OWN})
    take_out(history, holdings(history, "mine-1"), "mine-1")
    numbers = [edition.number for edition in kept(history)]
    assert numbers == [2, 3]  # the first held nothing else
    assert FORGOTTEN in kept(history)[-1].why
    for path in history.rglob("*"):
        assert path.stem != "from-mine-1"
        if path.suffix == ".parquet":
            words = {w for column in pq.read_table(path).to_pydict().values() for w in column}
            assert "mine-1" not in words
        elif path.is_file():
            assert '"mine-1"' not in path.read_text() and "mine-1," not in path.read_text()


@pytest.mark.parametrize("name", ["b", "from", "m"])
def test_a_part_that_was_called_after_it_is_called_after_the_next(history, name):
    part = history.parent / "part.parquet"
    write_published(rows(**{name: 1.0, "z": 2.0}), part)
    keep(history, rows(_=0.0), {f"from-{name}": part}, state(sessions={name: OWN, "z": OTHER}))
    take_out(history, holdings(history, name), name)
    (edition,) = kept(history)
    assert [p.name for p in (history / edition.folder / "parts").iterdir()] == ["from-z.parquet"]
    write_published(rows(z=2.0), part)
    assert len(keep(history, rows(_=0.0), {"first": part}, state(sessions={"z": OTHER}))) == 1


def test_the_sums_fit_and_the_next_edition_compares_with_it(history):
    four(history)
    take_out(history, holdings(history, "b"), "b")
    for edition in kept(history):
        folder = history / edition.folder
        files = json.loads((folder / "edition.json").read_text())["files"]
        assert files.keys() == {p.relative_to(folder).as_posix() for p in folder.rglob("*.parquet")}
    assert len(publish(history, {"a": 3.0}, {"a": OTHER}, a="It had slipped.")) == 4
    found = publish(history, {"a": 4.0}, {"a": OTHER}, a="It had slipped.")
    assert found[-1].moved["moved"] == 1


def test_a_session_that_still_counts_goes_with_a_reason(history):
    publish(history, {"a": 1.0, "b": 5.0}, {"a": OTHER, "b": OWN})
    take_out(history, holdings(history, "b"), "b")
    found = publish(history, {"a": 2.0}, {"a": OTHER})
    assert found[-1].why == f"session gone: {FORGOTTEN}"


def test_what_was_cut_short_is_done_again(history, monkeypatch):
    four(history)
    with monkeypatch.context() as patched:
        patched.setattr("shutil.rmtree", lambda *_, **__: (_ for _ in ()).throw(KeyboardInterrupt))
        with pytest.raises(KeyboardInterrupt):
            take_out(history, holdings(history, "b"), "b")
    take_out(history, holdings(history, "b"), "b")
    assert holdings(history, "b") == []
    assert [edition.number for edition in kept(history)] == [1, 2, 3, 4]


def test_what_cannot_be_read_is_told_as_gone_whole(history):
    four(history)
    second = history / kept(history)[1].folder / "published.parquet"
    second.write_bytes(b"damaged")
    held = holdings(history, "b")
    assert [each.is_whole for each in held] == [True, False, False]


def test_nothing_is_reached_by_a_link(history, tmp_path):
    four(history)
    folder = history / kept(history)[1].folder
    folder.rename(tmp_path / "elsewhere")
    folder.symlink_to(tmp_path / "elsewhere")
    take_out(history, holdings(history, "b"), "b")
    assert folder.is_symlink() and said(history, "b")[1].count("\n") == 2
