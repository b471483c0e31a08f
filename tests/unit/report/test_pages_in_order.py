"""Every page there is, asked the same questions; and what is added is found."""

import re
from dataclasses import fields
from pathlib import Path
from posixpath import dirname, normpath

import numpy as np
import pandas as pd
import pytest

from strapline.ground.files import read_model, write_model
from strapline.ground.records.shown import ShownFigures
from strapline.ground.report_files import OF_SESSION, OF_STAGE, SESSIONS_IN_ORDER
from strapline.ground.settings import (
    Alarm,
    Claims,
    Criteria,
    Effort,
    Equivalence,
    Intervals,
    OverAll,
    Tolerance,
)
from strapline.ground.tables.contracts import BY_NAME
from strapline.keeping.provenance import stages
from strapline.method.consequences.session_consequences import session_consequences
from strapline.running.stages import chart as chart_stage
from strapline.running.stages import session_page as page_stage
from strapline.running.stages import site as site_stage
from strapline.telling.archive_tables import DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.chart import Chart, pictures_of
from strapline.telling.charts.picture import Content, save_all
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.charts.shown import on_page
from strapline.telling.kept import kept_in
from strapline.telling.publish.published import CHARTS
from strapline.telling.report import origin, pages, session_page, site
from strapline.telling.report.archive import ARCHIVE
from strapline.telling.report.device import DEVICE
from strapline.telling.report.explorer import as_script
from strapline.telling.report.head_to_head import HEAD_TO_HEAD
from strapline.telling.report.origin import ORIGIN
from strapline.telling.report.page import Page
from strapline.telling.report.pages import PAGES
from strapline.telling.report.session_page import SESSION
from strapline.telling.report.site import rendered
from unit.consequences.steps_of_effort import aligned, ladder

TEMPLATES = Path(site.__file__).parent / "templates"
EVERY = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.file)


def test_each_has_a_file_and_a_word_of_its_own():
    words = [page.word for page in PAGES if page.word]
    assert len({page.file for page in PAGES}) == len(PAGES) >= 12
    assert len(set(words)) == len(words)


@EVERY
def test_it_has_a_template_of_its_own_and_a_step_that_writes_it(page):
    assert (TEMPLATES / page.template).is_file()
    assert [other.template for other in PAGES].count(page.template) == 1
    assert page.stage in stages()


@EVERY
def test_a_rule_makes_its_file(page, repository):
    rules = "".join(path.read_text("utf-8") for path in (repository / "workflow").rglob("*.smk"))
    if page is DEVICE:
        assert "report/devices" in rules
    elif page.of_each:
        assert page.file in OF_SESSION.values() and "in_report(OF_SESSION)" in rules
    else:
        assert page.file in OF_STAGE[page.stage].values()
        assert f'in_report(OF_STAGE["{page.stage}"])' in rules


@EVERY
def test_it_is_reached_from_the_navigation_or_another_page(page):
    if page.word:
        assert site.navigation()[page.file] == page.word
        return
    links = set()
    for other in PAGES:
        if other is not page:
            text = (TEMPLATES / other.template).read_text("utf-8")
            if other.word:
                text += (TEMPLATES / "parts.html").read_text("utf-8").replace("{{ root }}", "")
            links |= {
                normpath(f"{dirname(other.file)}/{re.sub('{{.*?}}', '{}', href)}".lstrip("/"))
                for href in re.findall(r'href="(.*?)[#"]', text)
            }
    assert page.file in links


@pytest.fixture
def session(of_session, build_intake):
    """In which something was compared, and would have meant something."""
    rows = aligned(ladder(), ladder() - 20)
    told = session_consequences(rows, build_intake(), Effort(), Alarm(), Intervals())
    return of_session(aligned=rows, consequences=told)


def test_every_picture_stands_on_its_page(archive, policy, session, look, shown):
    device = DeviceTables("watch", archive)
    for of_them, charts, drawn_on in (
        ((SESSION,), SESSION_CHARTS, (session,)),
        ((ARCHIVE, HEAD_TO_HEAD), ARCHIVE_CHARTS, (archive, policy)),
        ((DEVICE,), DEVICE_CHARTS, (device, policy)),
    ):
        text = "".join(
            rendered(page, look, page.context(*drawn_on, shown(charts))) for page in of_them
        )
        for chart in charts:
            assert text.count(f'{{"name":"{chart.name}"}}') == 1, chart.name
    assert {*SESSION_CHARTS, *ARCHIVE_CHARTS, *DEVICE_CHARTS} == {*CHARTS}


def test_the_page_of_a_long_session_is_light(of_session, look, tmp_path):
    """Eight hours; its seconds are heavier, and come when somebody looks into them."""
    second = np.arange(8 * 3600)
    rate = (130 + 30 * np.sin(second / 97)).round(1)
    tables = of_session(aligned=aligned(rate, rate + (9 * np.cos(second / 41)).round()))
    save_all(pictures_of(SESSION_CHARTS, tables, []), tmp_path)
    told = SESSION.context(tables, on_page(SESSION_CHARTS, tmp_path))
    light, heavy = rendered(SESSION, look, told), as_script(told["looked_into"])
    assert 50_000 < len(light.encode()) < 250_000 < len(heavy.encode())
    assert 's-1.seconds.js" data-length="28800"' in light


def test_figures_handed_on_are_those_that_the_pages_print(session, look, shown):
    told = SESSION.context(session, shown(SESSION_CHARTS))
    printed = re.findall(
        r'<a class="origin" href="[^"#]*#([^"]*)">([^<]*)</a>', rendered(SESSION, look, told)
    )
    assert dict(printed) == session_page.shown(told) and len(printed) > 15
    come_from = ORIGIN.context(session, "Made with care.")
    printed = re.findall(
        r'<tr class="first" id="([^"]*)">.*?<td class="n">([^<]*)</td>',
        rendered(ORIGIN, look, come_from),
    )
    assert dict(printed) == origin.shown(come_from) and len(printed) > 10


def write(folder, tables):
    """The tables of a record as files, by its fields."""
    written = {}
    for name in (f.name for f in fields(tables) if f.name in {"intake", *kept_in(type(tables))}):
        content, path = getattr(tables, name), folder / f"{name}.parquet"
        if isinstance(content, pd.DataFrame):
            BY_NAME[name].write(content, path)
        else:
            write_model(path := path.with_suffix(".json"), content)
        written[name] = str(path)
    return written


def test_a_picture_that_is_added_is_drawn_and_shown(tmp_path, session, look, monkeypatch):
    toy = Chart(
        name="toy",
        about="session",
        section="more",
        needs=("metrics",),
        question="Is it a toy?",
        finding=lambda tables: f"{len(tables.metrics)} figures were found",
        alt=lambda tables: "It is a toy.",
        content=lambda tables, bench: Content("Read it so.", {"toys": {"toy": [1]}}),
    )
    monkeypatch.setattr(chart_stage, "SESSION_CHARTS", (toy,))
    monkeypatch.setattr(page_stage, "SESSION_CHARTS", (*SESSION_CHARTS, toy))
    files = write(tmp_path, session)
    charts = str(tmp_path / "charts")
    tolerance = {"tolerance": session.tolerance}
    chart_stage.run(**files | tolerance, bench="[]", charts=charts)
    made = {name: str(tmp_path / name) for name in ("page", "origin", "seconds", "figures")}
    page_stage.run(
        **files | made | tolerance,
        presentation=look,
        charts=charts,
        screens=[],
        made_with="With care.",
    )
    text = (tmp_path / "page").read_text("utf-8")
    found = f"Strength: {len(session.metrics)} figures were found"
    assert f'data-name="toy" tabindex="0" role="img" aria-label="{found}. It is a toy."' in text
    assert "It is a toy." in text and "charts/toy.json" in text
    figures = read_model(tmp_path / "figures", ShownFigures)
    assert figures.page["watch.settled.mae"] == "33.2" and figures.origin


def test_a_page_that_is_added_is_written_and_linked(tmp_path, archive, look, monkeypatch):
    def context(tables, policy, pictures):
        return {"sessions": [], "wearers": len(tables.sessions)}

    toy = Page("toy.html", "site", "sessions.html", context, word="Toy")
    monkeypatch.setattr(pages, "PAGES", (*PAGES, toy))
    files = [page.file for page in pages.written_by("site") if not page.of_each]
    given = {name: str(tmp_path / name) for name in ("charts", "device_charts", "style")}
    given |= {"behaviour": str(tmp_path / "site.js"), "device_pages": str(tmp_path / "devices")}
    site_stage.run(
        **write(tmp_path, archive) | given,
        pages=[str(tmp_path / file) for file in (*files, SESSIONS_IN_ORDER)],
        tolerance=Tolerance(),
        presentation=look,
        criteria=Criteria(),
        equivalence=Equivalence(),
        claims=Claims(),
        over_all=OverAll(),
    )
    first, device = tmp_path / "index.html", tmp_path / "devices" / "watch.html"
    assert '<a href="toy.html">Toy</a>' in first.read_text("utf-8")
    assert '<a href="../toy.html">Toy</a>' in device.read_text("utf-8")
    text = (tmp_path / "toy.html").read_text("utf-8")
    assert '<a href="toy.html" aria-current="page">Toy</a>' in text and "0 sessions" in text
