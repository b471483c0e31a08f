"""The pages, read as a browser would read them."""

import re
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser

import numpy as np
import pytest

from strapline.ground.report_files import LOOKS, THEME
from strapline.ground.settings import Alarm, Criteria, Effort, Intervals, Settings
from strapline.ground.tables.archive import SESSIONS, STANDINGS
from strapline.ground.tables.sessions import METRICS, OFFSETS
from strapline.method.consequences.session_consequences import session_consequences
from strapline.telling.archive_tables import ArchiveTables, DeviceTables
from strapline.telling.charts.archive_charts import ARCHIVE_CHARTS, DEVICE_CHARTS
from strapline.telling.charts.session_charts import SESSION_CHARTS
from strapline.telling.report import looks
from strapline.telling.report.archive import ARCHIVE
from strapline.telling.report.data import DATA, Held
from strapline.telling.report.device import DEVICE
from strapline.telling.report.head_to_head import HEAD_TO_HEAD
from strapline.telling.report.method_page import METHOD
from strapline.telling.report.session_page import SESSION
from strapline.telling.report.sessions import SESSIONS as ALL_SESSIONS
from strapline.telling.report.site import rendered
from strapline.telling.session_tables import SessionTables
from unit.consequences.steps_of_effort import aligned, ladder
from unit.report.conftest import named

HOSTILE = "<img src=http://x.invalid/a onerror=alert(1)>\"'&\u202eevil\u2067" + "y" * 300
VOID = {"meta", "link", "br", "img", "input", "hr"}
LEAD = "Watch one was off by 6.2 bpm on average in 4 strength sessions, with firmware 1.2 and 2.0."


class Page(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.tags, self.text, self.open = [], "", []
        self.feed(text)
        assert self.open == []
        self.text = re.sub(r"\s+", " ", self.text)

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text += data

    def all(self, tag):
        return [attributes for name, attributes in self.tags if name == tag]


# Average and highest with their percent, error, shares, delays; then what differs.
FIGURES_OF_STANDING = "−3.5 −2.6 % −4.5 −2.7 % 6.2 71 % 89 % 5.1 8.9"


@pytest.fixture
def first_page(archive, policy, look, shown):
    return rendered(ARCHIVE, look, ARCHIVE.context(archive, policy, shown(ARCHIVE_CHARTS)))


@pytest.fixture
def session(of_session, look, shown):
    return rendered(SESSION, look, SESSION.context(of_session(), shown(SESSION_CHARTS, "traces")))


@pytest.fixture
def device(archive, policy, look, shown):
    tables = DeviceTables("watch", archive)
    return rendered(DEVICE, look, DEVICE.context(tables, policy, shown(DEVICE_CHARTS, "none")))


@pytest.fixture
def pairs(archive, policy, look, shown):
    return rendered(
        HEAD_TO_HEAD, look, HEAD_TO_HEAD.context(archive, policy, shown(ARCHIVE_CHARTS))
    )


@pytest.fixture
def method(look, tolerance):
    settings = Settings().model_dump(mode="json")
    meanings = {"grid.longest_gap_s": "no value is interpolated across a longer gap"}
    prints = {"align": "align:0123456789abcdef"}
    told = METHOD.context(settings, meanings, prints, tolerance, Criteria())
    return rendered(METHOD, look, told)


@pytest.fixture
def data(look):
    held = [
        Held(SESSIONS, 3),
        Held(STANDINGS, 12),
        Held(METRICS, 36, ("first", "from-second")),
        Held(OFFSETS, 0, ()),
    ]
    return rendered(DATA, look, DATA.context(held))


@pytest.fixture
def all_sessions(archive, policy, look):
    return rendered(ALL_SESSIONS, look, ALL_SESSIONS.context(archive, policy, {}))


@pytest.fixture
def every_page(first_page, session, device, pairs, method, data, all_sessions):
    return [first_page, session, device, pairs, method, data, all_sessions]


def test_no_page_asks_the_network_or_runs_a_script(every_page):
    for text in every_page:
        page = Page(text)
        assert not page.all("iframe") and not page.all("img")
        scripts = [s["src"] for s in page.all("script") if s.get("type") != "application/json"]
        assert {name.removeprefix("../") for name in scripts} <= {*LOOKS, THEME}
        for _, attributes in page.tags:
            assert not any(name.startswith("on") for name in attributes)
            for name in ("src", "href", "action", "poster", "srcset"):
                assert not re.match(r"\s*(\w+:|//)", attributes.get(name) or "")
    css = looks.content("style.css").decode()
    assert "@import" not in css
    assert set(re.findall(r"url\(([^)]*)", css)) <= set(LOOKS)


def test_every_page_can_be_walked_by_keyboard_and_screen_reader(every_page):
    for text in every_page:
        page = Page(text)
        assert page.all("html")[0]["lang"] == "en"
        assert len(page.all("main")) == len(page.all("h1")) == 1
        assert page.all("a")[0]["href"] == "#main" and page.all("main")[0]["id"] == "main"
        assert len(page.all("caption")) == len(page.all("table")) > 0
        assert all("scope" in th for th in page.all("th"))
        identifiers = [a["id"] for _, a in page.tags if "id" in a]
        assert len(identifiers) == len(set(identifiers))
        assert "not medical measurements" in page.text and "stop when unwell" in page.text
        assert "Tested at the sample bench" in page.text


def test_archive_answers_first_then_lists_and_owns_up(first_page):
    text = Page(first_page).text
    parts = [
        "How closely does each device follow the strap?",
        LEAD,
        "Over all activities, each counting alike",
        "What is new",
        "newer",
        "older",
        "One thing set aside or broken off, and why",
        "No strap among its files.",
        "Moved by 3 s.",
        "Read as UTC.",
        "not medical",
    ]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)
    assert "one wearer and says little about other people" in text
    assert text.count("No strap among its files.") == 1
    assert "odd" not in text[: text.index("set aside")]
    assert "2 sessions, one wearer. 3 of 9 clocks could be settled; nothing but" in text


def test_archive_has_the_tables_figures_over_all_first_and_then_at_each_activity(first_page):
    rows = re.findall(
        r"<tr class=\"first\"><th scope=\"row\">.*?Watch one.*?</tr>", first_page, re.S
    )[:2]
    for row in rows:
        cells = re.sub(r"<[^>]*>", " ", row[row.index("</th>") :])
        assert " ".join(cells.split()) == f"{FIGURES_OF_STANDING} – 4 one wearer"
    assert (
        "At each activity" in first_page[first_page.index(rows[0]) : first_page.index("Strength")]
    )


def test_archive_lists_errors_of_devices_and_links(first_page):
    page = Page(first_page)
    assert re.search(r"By device: mean absolute error.*Watch one.*33\.2", page.text, re.DOTALL)
    links = {a["href"] for a in page.all("a")}
    assert {"sessions/s-1.html", "devices/watch.html"} <= links
    names = {chart.name for chart in ARCHIVE_CHARTS if chart.section != "pairs"}
    assert {f"../archive/charts/{name}.json" for name in names} <= links


def test_archive_says_what_sessions_show_together_before_the_figures(first_page):
    text = _spaced(first_page)
    parts = [
        "Does it read too high or too low? Shown Watch one : −3.5 bpm (−5.2 to −1.8)",
        "All activities Watch one −3.5 −5.2 to −1.8 shown −9.1 to +2.1 −20.5 −25.2 to −17.3",
        "Which of two worn together is closer? No two devices can be told apart yet.",
        "one pair: not yet Watch one was closer than Band two in 3 of 4 sessions so far, "
        "by 2.5 bpm (−1.1 to 6.1) in the median one",
    ]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)
    assert "head-to-head.html#band.watch" in {a["href"] for a in Page(first_page).all("a")}


def test_pairs_are_told_over_all_activities_and_at_each(pairs):
    text = _spaced(pairs)
    parts = [
        "Not yet known Watch one was closer than Band two in 3 of 4 sessions so far, "
        "by 2.5 bpm (−1.1 to 6.1) in the median one",
        "Watch one was closer, by 2.5 bpm (95 % interval −1.1 to 6.1 bpm; p over all pairs 0.250; "
        "4 sessions",
        "All activities Watch one 2.5 −1.1 to 6.1 3 of 4 not yet not told apart 0 4 0.250 1",
        "Strength Band two 1.5 0.5 to 2.5 3.5 of 4 not yet 1.2 −0.2 to 2.8 3 1 0.250 1",
    ]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)
    assert "band.watch" in {h2["id"] for h2 in Page(pairs).all("h2")}


def test_method_has_formulas_settings_with_meanings_and_fingerprints(method):
    text = _spaced(method)
    assert "Mean absolute error, bpm mae mean of abs(d − r)" in text
    assert "longest_gap_s 10 no value is interpolated across a longer gap" in text
    assert "tends.fewest_sessions 3" in text
    assert "Align 0123456789abcdef" in text


def test_data_tells_every_table_and_column_and_links_to_its_files(data):
    page, text = Page(data), unescape(_spaced(data))
    links = {a["href"] for a in page.all("a")}
    assert {"data/standings.csv", "../archive/standings.parquet", "#standings"} <= links
    assert {"data/metrics/first.csv", "../archive/metrics/from-second.parquet"} <= links
    assert "#offsets" in links and not any("/offsets" in link for link in links)
    for column in STANDINGS.columns:
        assert f" {column.name} {column.meaning} " in text
    assert "minutes Time compared number min no" in text
    assert "started_at First second of the reference time, UTC – yes" in text


def test_pages_know_where_they_are(first_page, pairs, device):
    here = [
        [a["href"] for a in Page(p).all("a") if "aria-current" in a] for p in (first_page, pairs)
    ]
    assert here == [["index.html"], ["head-to-head.html"]]
    assert "../method.html" in {a["href"] for a in Page(device).all("a")}


def test_device_page_has_a_row_of_each_fault_that_occurred(device):
    table = device[device.index("Faults by kind and activity") :].split("</table>", 1)[0]
    found = re.findall(r'<th scope="row">([^<]*)<', table)
    assert found == ["Any fault", "No value", "Reads low"]
    assert "What did not occur in 6 sessions: stuck on one value" in device


def test_device_page_has_its_claims_and_firmware(device):
    text = _spaced(device)
    assert "it was met in 3 of 4 (95 % interval 30 to 95 %; 4 sessions" in text
    assert (
        "On this wearer, with firmware 2.0 Watch one’s mean absolute error was 2.5 bpm smaller than"
        in text
    )
    assert "Band two" not in text


def test_session_shows_both_views_and_the_interval(session):
    row = re.search(r"<tr[^>]*><th scope=\"row\">Mean absolute error,.*?</tr>", session, re.DOTALL)
    assert _spaced(row[0]).strip().endswith("33.2 32.8 to 33.8 35.0 34.5 to 35.5")
    text = Page(session).text
    assert "Within 5 bpm, %" in text and "Within 10 %, %" in text


def test_session_says_why_there_is_no_interval(session, of_session, metrics, look, shown):
    assert "has no intervals" not in session
    short = metrics.assign(ci_low=np.nan, ci_high=np.nan)
    counted = short[short["metric"] == "bias"].assign(metric="effective_n", value=5.6)
    tables = of_session(metrics=METRICS.joined([short, METRICS.frame(counted.to_dict("series"))]))
    context = SESSION.context(tables, shown(SESSION_CHARTS, "traces"))
    why = "8 min 20 s compared, with 6 independent stretches, are too little for one."
    assert f"Watch one has no intervals: {why}" in Page(rendered(SESSION, look, context)).text


def test_session_says_where_everything_went(session):
    page, text = Page(session), unescape(_spaced(session))
    for part in (
        "Watch one averaged 107.0 bpm against the strap’s 139.0. It read 23 % low.",
        "600 500 100 excluded 20, no device 10, reference flat 70",
        "Watch one : It fits.",
        "Indoors yes",
        "f" * 64,
        "Squats Watch one 7.8 – −32.0 139.0 107.0",
        "in percent of the wearer’s maximum heart rate as stated.",
        "Very light Watch one 2.2 – −32.0 139.0 107.0",
    ):
        assert part in text, part
    # What the sentences say is said once, and again only to who cannot see the picture.
    assert 'traces &amp; more."' in session and "traces & more." not in text
    assert "../../sessions/s-1/charts/traces.json" in {a["href"] for a in page.all("a")}


def test_device_has_its_activities_and_sessions(device):
    page = Page(device)
    assert LEAD in page.text
    assert "../sessions/s-1.html" in {a["href"] for a in page.all("a")}
    assert "../sessions/s-0.html" not in {a["href"] for a in page.all("a")}
    assert "newer −32.0 −11.4 33.2 30 % 41 % 2026-02-01 Strength w" in _spaced(device)


def test_hostile_names_are_text(archive, policy, build_intake, of_session, look, tolerance, shown):
    hostile = look.model_copy(update={"title": HOSTILE, "credit": HOSTILE})
    archive.sessions["title"] = HOSTILE
    archive.notices["text"] = HOSTILE
    archive.conditions[["condition", "value_a", "value_b"]] = HOSTILE
    archive.firmware["firmware_after"] = HOSTILE
    archive = replace(archive, devices=named({"watch": HOSTILE, "band": HOSTILE}))
    session = of_session(build_intake(HOSTILE, file=HOSTILE))
    device, none = DeviceTables("watch", archive), shown(DEVICE_CHARTS, "none")
    settings = Settings().model_dump(mode="json") | {"presentation": {"title": HOSTILE}}
    pages = [
        (SESSION, (session, shown(SESSION_CHARTS))),
        (ARCHIVE, (archive, policy, shown(ARCHIVE_CHARTS))),
        (ALL_SESSIONS, (archive, policy, {})),
        (HEAD_TO_HEAD, (archive, policy, shown(ARCHIVE_CHARTS))),
        (DEVICE, (device, policy, none)),
        (METHOD, (settings, {}, {}, tolerance, Criteria())),
        (DATA, ([],)),
    ]
    for kind, drawn_on in pages:
        text = rendered(kind, hostile, kind.context(*drawn_on))
        page = Page(text)
        assert not page.all("img")
        assert "<img src=http://x.invalid/a onerror=alert(1)>\"'&�evil�" in page.text
        assert not set("\u202e\u2067") & set(text)


def test_names_of_sessions_cannot_leave_their_folder(build_intake, of_session, look, shown):
    tables = of_session(build_intake(session="../a b?#x"))
    text = rendered(SESSION, look, SESSION.context(tables, shown(SESSION_CHARTS)))
    assert "../../sessions/..%2Fa%20b%3F%23x/charts/traces.json" in text


def test_empty_archive_says_so(look, policy, shown):
    nothing = ArchiveTables()

    def text(page, tables, pictures):
        return Page(rendered(page, look, page.context(tables, policy, pictures))).text

    first = text(ARCHIVE, nothing, shown(ARCHIVE_CHARTS, "none"))
    assert "No session could be compared with a reference yet." in first
    assert "Nothing was set aside." in first
    of_device = text(DEVICE, DeviceTables("w", nothing), shown(DEVICE_CHARTS, "none"))
    assert "No session of this device" in of_device and "What goes wrong" not in of_device
    assert "No two devices were worn" in text(HEAD_TO_HEAD, nothing, shown(ARCHIVE_CHARTS))
    assert "0 sessions" in text(ALL_SESSIONS, nothing, {})


def test_session_without_anything_to_compare_says_so(build_intake, look, tolerance, shown):
    tables = SessionTables(build_intake("Nothing usable.", tested=False), tolerance)
    text = Page(rendered(SESSION, look, SESSION.context(tables, shown(SESSION_CHARTS)))).text
    assert "Set aside: Nothing usable." in text
    assert "There was no device to compare in this session." in text
    assert "No second was compared." in text


def test_no_line_of_a_page_begins_with_a_percent_sign(first_page, session):
    for text in (first_page, session):
        assert re.search(r"\d\u00a0%", text)
        assert not re.search(r"\d %", text)


def test_same_tables_give_the_same_page(first_page, archive, policy, look, shown):
    again = ARCHIVE.context(archive, policy, shown(ARCHIVE_CHARTS))
    assert rendered(ARCHIVE, look, again) == first_page


def _spaced(html):
    """The text with a space wherever an element ends."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html))


def test_what_it_would_have_meant_stands_with_its_caution_and_what_is_wanting(
    of_session, build_intake, look, shown
):
    """A device 20 bpm low on a ladder of efforts; but for the lowest, all are a band too low."""
    rows = aligned(ladder(), ladder() - 20)
    told = session_consequences(rows, build_intake(), Effort(), Alarm(), Intervals())
    pictures = shown(SESSION_CHARTS, "band-minutes", "traces")
    context = SESSION.context(of_session(consequences=told), pictures)
    text = rendered(SESSION, look, context)
    text = text[text.index('<section aria-labelledby="consequences">') :]
    section, rest = text.split("</section>", 1)
    shown = Page(section + "</section>").text
    assert "What it would have meant" in shown
    assert "Watch one put 10.0 of 15.0 minutes (66.7 %) in a wrong band of effort." in shown
    assert "Not told, because the session’s card lacks keys under body" in shown
    assert "no advice on health or training" in shown
    assert "ask a qualified professional and keep to local rules" in shown
    assert "900 of Watch one" in shown
    assert "band-minutes.json" in section and "traces.json" not in section
    assert "band-minutes.json" not in rest


def test_a_session_of_nothing_compared_has_no_such_section(session):
    assert "What it would have meant" not in session
