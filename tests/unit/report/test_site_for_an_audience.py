"""The site: the report's pages for an audience, whole, and silent on what is the tester's alone."""

import json
import re
from dataclasses import replace
from posixpath import dirname, normpath

import pandas as pd
import pytest

from strapline.ground.report_files import LOOKS, THEME
from strapline.ground.settings import Claims, Criteria, Equivalence, OverAll, Settings, Tolerance
from strapline.ground.tables.archive import SESSIONS
from strapline.running.stages import publish_site
from strapline.telling.publish.site import Addresses, foot
from strapline.telling.report.pages import PAGES
from strapline.telling.report.phrases import CAUTION
from unit.report.test_pages_in_order import session, write

__all__ = ["session"]
NAME = "zephyrine"
BODY = {"maximum_bpm": 187.61, "resting_bpm": 51.17, "age_years": 41.37, "weight_kg": 67.31}


@pytest.fixture
def site(tmp_path, archive, session, look):
    """All of it as it is written, by path."""
    held = archive.sessions.astype({"wearer": str, "session": str})
    mine = held["session"] == "s-1"
    held["wearer"] = held["wearer"].mask(mine, NAME)
    held["title"] = held["title"].mask(mine, f"S {NAME.title()}")
    intake = session.intake.model_copy(
        update={
            "title": f"S {NAME.title()}",
            "wearer": NAME,
            "body": session.intake.body.model_validate(BODY),
        }
    )
    own = write(tmp_path, session.__class__(**vars(session) | {"intake": intake}))
    of_archive = write(tmp_path, archive)
    SESSIONS.write(held, of_archive["sessions"])
    looks = [tmp_path / name for name in (*LOOKS, THEME)]
    for path in looks:
        path.write_text("")
    folder = tmp_path / "site"
    for name in ("charts", "archive_charts", "device_charts"):
        (tmp_path / name).mkdir()
    publish_site.run(
        **of_archive
        | {name: [path] for name, path in own.items()}
        | {"site": str(folder), "looks": list(map(str, looks))}
        | {name: str(tmp_path / name) for name in ("archive_charts", "device_charts")},
        all_stated=[],
        all_courses=[],
        charts=[str(tmp_path / "charts")],
        in_force=json.dumps(Settings().model_dump(mode="json")),
        meanings="{}",
        fingerprints="{}",
        renamed=json.dumps({"s-1": "s"}),
        tolerance=Tolerance(),
        presentation=look,
        criteria=Criteria(),
        equivalence=Equivalence(),
        claims=Claims(),
        over_all=OverAll(),
    )
    files = [path for path in folder.rglob("*") if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_text("utf-8") for path in files}


def pages_of(site):
    return {name: text for name, text in site.items() if name.endswith(".html")}


def test_it_has_every_page_for_an_audience_and_no_other(site):
    stems = {name.rpartition("/")[0] or name for name in pages_of(site)}
    public = {page.file.rpartition("/")[0] or page.file for page in PAGES if page.public}
    assert stems == public
    assert {*LOOKS, THEME} <= site.keys()


def test_every_link_leads_to_a_file_of_it(site):
    for name, text in pages_of(site).items():
        for link in re.findall(r'(?:href|src|data-seconds)="([^"#:]+)(?:#[^"]*)?"', text):
            there = normpath(f"{dirname(name)}/{link}".lstrip("/"))
            # The archive knows sessions and devices that have no tables here.
            if not there.startswith(("sessions/s-", "devices/")):
                assert there in site, f"{name} leads to {link}"


def test_nobody_is_named_in_pages_or_addresses(site):
    for name, text in site.items():
        assert NAME not in name.lower() and NAME not in text.lower()
        assert not [value for value in BODY.values() if str(value) in text]
    assert re.search("worn by [AB], ", site["sessions/s.html"])


def test_what_is_called_after_a_session_is_so_in_addresses(archive):
    named = Addresses({"run": "run-4", "run-zoe": "run-2", "run-zoe-2": "run-3"})
    known = archive.standings.assign(device="unknown.run-zoe.ab", label=None, mean=1.0)
    places = pd.DataFrame({"session": ["run", "run-zoe-2", "ride"], "activity": "run"})
    places["labels_at"] = '{"session run-zoe": "Watch", "run": "Run"}'
    shown = named.within(replace(archive, standings=known, placements=places))
    assert set(shown.standings["device"]) == {"unknown.run-2.ab"}
    assert shown.standings["label"].isna().all() and (shown.standings["mean"] == 1).all()
    assert list(shown.placements["session"]) == ["run-4", "run-3", "ride"]
    assert set(shown.placements["activity"]) == {"run"}
    assert set(shown.placements["labels_at"]) == {'{"session run-2": "Watch", "run": "Run"}'}


def test_what_only_the_tester_needs_is_not_there(site):
    for name, text in pages_of(site).items():
        for part in ("Next time", "origin.html", "snakemake", "Not told", "watch.csv", "Plan<"):
            assert part not in text, (name, part)
        assert CAUTION in re.sub(r"\s+", " ", text)


def test_the_foot_of_a_picture_names_its_page(look):
    known = look.model_copy(update={"credit": "By us", "address": "https://hr.example/test/"})
    assert foot(known, "index.html") == "By us, hr.example/test/index.html"
    assert foot(known.model_copy(update={"address": ""}), "index.html") == "By us"


@pytest.mark.parametrize("address", ["hr.example", "javascript:x", "https://a b", 'http://"'])
def test_an_address_is_that_of_a_site(address):
    with pytest.raises(ValueError, match="address"):
        Settings.model_validate({"presentation": {"address": address}})
