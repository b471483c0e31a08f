"""The pages, read as a browser would read them."""

import re
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser

import pytest

from strapline.ground.records.alignment import SessionAlignment
from strapline.ground.records.ledger import SessionLedger
from strapline.ground.settings import Alarm, Criteria, Effort, Intervals
from strapline.ground.tables.archive import SESSIONS, STANDINGS
from strapline.ground.tables.sessions import ALIGNED, CONSEQUENCES, METRICS, OFFSETS, SENTENCES
from strapline.method.consequences.session_consequences import session_consequences
from strapline.telling.charts.render import Picture
from strapline.telling.report.data import Held
from strapline.telling.report.pages import (
    archive_page,
    data_page,
    device_page,
    head_to_head_page,
    method_page,
    session_page,
    sessions_page,
    stylesheet,
)
from unit.consequences.steps_of_effort import aligned, ladder

# Neither offsets, nor seconds, nor sentences, nor consequences.
NOTHING = (OFFSETS.empty(), ALIGNED.empty(), SENTENCES.empty(), CONSEQUENCES.empty())

HOSTILE = "<img src=http://x.invalid/a onerror=alert(1)>\"'&\u202eevil\u2067" + "y" * 300
ARCHIVE_PICTURES = [
    Picture(name, f"{name}.", "<svg></svg>") for name in ("standings", "heat-table", "sessions-map")
]
VOID = {"meta", "link", "br", "img", "input", "hr"}


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


@pytest.fixture
def archive(records, look):
    return archive_page(records, ARCHIVE_PICTURES, look)


@pytest.fixture
def session(build_intake, metrics, ledger, alignment, picture, look, tolerance):
    return session_page(
        build_intake(),
        metrics,
        ledger,
        alignment,
        *NOTHING,
        [picture],
        look,
        tolerance,
    )


@pytest.fixture
def device(records, look):
    return device_page("watch", records, [], look)


@pytest.fixture
def pairs(records, look):
    return head_to_head_page(records, look)


@pytest.fixture
def method(look, tolerance):
    settings = {"grid": {"longest_gap_s": 10.0}, "claims": {"tends": {"fewest_sessions": 3}}}
    meanings = {"grid.longest_gap_s": "no value is interpolated across a longer gap"}
    return method_page(
        settings, meanings, {"align": "align:0123456789abcdef"}, look, tolerance, Criteria()
    )


@pytest.fixture
def data(look):
    return data_page(
        [
            Held(SESSIONS, 3),
            Held(STANDINGS, 12),
            Held(METRICS, 36, ("first", "from-second")),
            Held(OFFSETS, 0, ()),
        ],
        look,
    )


@pytest.fixture
def every_page(archive, session, device, pairs, method, data, records, look):
    return [archive, session, device, pairs, method, data, sessions_page(records, look)]


def test_no_page_asks_the_network_or_runs_a_script(every_page):
    for text in every_page:
        page = Page(text)
        assert not page.all("iframe") and not page.all("img")
        assert all(s["src"] in ("site.js", "../site.js") for s in page.all("script"))
        for _, attributes in page.tags:
            assert not any(name.startswith("on") for name in attributes)
            for name in ("src", "href", "action", "poster", "srcset"):
                assert not re.match(r"\s*(\w+:|//)", attributes.get(name) or "")
    css = stylesheet()
    assert "@import" not in css
    assert all(url.startswith("data:font/ttf;base64,") for url in re.findall(r"url\(([^)]*)", css))


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


def test_archive_answers_first_then_lists_and_owns_up(archive):
    text = Page(archive).text
    parts = [
        "How closely does each device follow the strap?",
        "Over all activities Watch one was off by 6.2 bpm in its median session (6.2 with clocks "
        "as recorded).",
        "What is new",
        "newer",
        "older",
        "one thing set aside, and why",
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
    assert "2 sessions, one wearer. 3 of 9 clocks could be aligned; the others stand" in text


def test_archive_has_the_tables_figures_over_all_first_and_then_at_each_activity(archive):
    rows = re.findall(r"<tr class=\"first\"><th scope=\"row\">.*?Watch one.*?</tr>", archive)[:2]
    for row in rows:
        cells = re.findall(r'<td class="n[^"]*">([^<]*)</td>', row)
        assert cells == ["6.2", "6.2", "88.8", "97.1", "4", "1"]
    assert "At each activity" in archive[archive.index(rows[0]) : archive.index("Strength")]


def test_archive_lists_errors_of_devices_and_links(archive):
    page = Page(archive)
    assert "Watch one 33.2" in page.text
    links = {a["href"] for a in page.all("a")}
    assert {"sessions/s-1.html", "devices/watch.html"} <= links
    names = {picture.name for picture in ARCHIVE_PICTURES}
    assert {f"../archive/charts/{name}.vl.json" for name in names} <= links


def test_archive_says_what_sessions_show_together_before_the_figures(archive):
    text = _spaced(archive)
    parts = [
        "Does it read too high or too low? Shown Watch one : −3.5 bpm (−5.2 to −1.8)",
        "All activities Watch one −3.5 −5.2 to −1.8 shown −9.1 to +2.1 −20.5 −25.2 to −17.3",
        "Which of two is closer? That is shown of no two devices yet.",
        "one pair: not shown Watch one was closer than Band two , by 2.5 bpm (−1.1 to 6.1)",
    ]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)
    assert "head-to-head.html#band.watch" in {a["href"] for a in Page(archive).all("a")}


def test_pairs_are_told_over_all_activities_and_at_each(pairs):
    text = _spaced(pairs)
    parts = [
        "Not shown Watch one was closer than Band two , by 2.5 bpm (−1.1 to 6.1)",
        "Watch one was, by 2.5 bpm (95 % interval −1.1 to 6.1 bpm, with clocks as "
        "recorded −1.1 to 6.6 bpm; p over all pairs 0.250, as recorded 0.250; 4 sessions",
        "All activities Watch one 2.5 −1.1 to 6.1 3 of 4 not shown not told apart 0 4 0.250 1",
        "Strength Band two 1.5 0.5 to 2.5 3.5 of 4 not shown 1.2 −0.2 to 2.8 3 1 0.250 1",
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


def test_pages_know_where_they_are(archive, pairs, device):
    here = [[a["href"] for a in Page(p).all("a") if "aria-current" in a] for p in (archive, pairs)]
    assert here == [["index.html"], ["head-to-head.html"]]
    assert "../method.html" in {a["href"] for a in Page(device).all("a")}


def test_device_page_has_a_row_of_each_fault_that_occurred(device):
    table = device[device.index("Faults by kind and activity") :].split("</table>", 1)[0]
    found = re.findall(r'<th scope="row">([^<]*)<', table)
    assert found == ["Any of these", "No value", "Reads low"]
    assert "What did not occur in 6 sessions: stuck on one value" in device


def test_device_page_has_its_claims_and_firmware(device):
    text = _spaced(device)
    assert "it was met in 3 of 4 (95 % interval 30 to 95 %, with clocks as recorded" in text
    assert "With firmware 2.0 Watch one’s mean absolute error was 2.5 bpm smaller than" in text
    assert "Band two" not in text


def test_session_shows_both_views_and_the_interval(session):
    row = re.search(r"<tr[^>]*><th scope=\"row\">Mean absolute error,.*?</tr>", session, re.DOTALL)
    assert _spaced(row[0]).strip().endswith("35.0 34.5 to 35.5 33.2 32.8 to 33.8")
    text = Page(session).text
    assert "Within 5 bpm, %" in text and "Within 10 %, %" in text


def test_session_says_where_everything_went(session):
    page, text = Page(session), unescape(_spaced(session))
    for part in (
        "averaged 107.0 bpm where the strap averaged 139.0: −32.0 bpm, −23.0 %.",
        "600 500 100 excluded 20, no device 10, reference flat 70",
        "Watch one : It fits.",
        "Indoors yes",
        "f" * 64,
        "Squats Watch one 7.8 – −32.0 139.0 107.0",
        "in percent of 188 bpm, the wearer’s maximum heart rate as stated.",
        "Very light Watch one 2.2 – −32.0 139.0 107.0",
        "A line & another.",
    ):
        assert part in text, part
    assert "../../sessions/s-1/charts/traces.svg" in {a["href"] for a in page.all("a")}


def test_device_has_its_activities_and_sessions(device):
    page = Page(device)
    assert "Watch one was off by 6.2 bpm" in page.text
    assert "../sessions/s-1.html" in {a["href"] for a in page.all("a")}
    assert "../sessions/s-0.html" not in {a["href"] for a in page.all("a")}
    assert "newer 33.2 35.0 −32.0 41.5 97.5 2026-02-01 Strength w" in _spaced(device)


def test_hostile_names_are_text(
    build_intake, records, metrics, ledger, alignment, picture, look, tolerance
):
    hostile_look = look.model_copy(update={"title": HOSTILE, "credit": HOSTILE})
    records.sessions["title"] = HOSTILE
    records.notices["text"] = HOSTILE
    records.conditions[["condition", "value_a", "value_b"]] = HOSTILE
    records.evidence.firmware["firmware_after"] = HOSTILE
    records = replace(records, labels={"watch": HOSTILE, "band": HOSTILE})
    intake = build_intake(HOSTILE, file=HOSTILE)
    session = (intake, metrics, ledger, alignment, *NOTHING, [picture], hostile_look, tolerance)
    settings = {"presentation": {"title": HOSTILE}}
    pages = [
        session_page(*session),
        archive_page(records, [picture], hostile_look),
        sessions_page(records, hostile_look),
        head_to_head_page(records, hostile_look),
        device_page("watch", records, [], hostile_look),
        method_page(settings, {}, {}, hostile_look, tolerance, Criteria()),
        data_page([], hostile_look),
    ]
    for text in pages:
        page = Page(text)
        assert not page.all("img")
        assert "<img src=http://x.invalid/a onerror=alert(1)>\"'&�evil�" in page.text
        assert not set("\u202e\u2067") & set(text)


def test_names_of_sessions_cannot_leave_their_folder(
    build_intake, metrics, ledger, alignment, picture, look, tolerance
):
    intake = build_intake(session="../a b?#x")
    text = session_page(intake, metrics, ledger, alignment, *NOTHING, [picture], look, tolerance)
    assert "../../sessions/..%2Fa%20b%3F%23x/charts/traces.svg" in text


def test_empty_archive_says_so(look, no_records):
    text = Page(archive_page(no_records, [], look)).text
    assert "No session could be compared with a reference yet." in text
    assert "Nothing was set aside." in text
    of_device = Page(device_page("w", no_records, [], look)).text
    assert "No session of this device" in of_device and "What goes wrong" not in of_device
    assert "No two devices were worn" in Page(head_to_head_page(no_records, look)).text
    assert "0 sessions" in Page(sessions_page(no_records, look)).text


def test_session_without_anything_to_compare_says_so(build_intake, look, tolerance):
    intake = build_intake("Nothing usable.", tested=False)
    ledger = SessionLedger(session="s-1", recordings=(), comparisons=())
    alignment = SessionAlignment(session="s-1", reference=None, clocks=())
    text = Page(
        session_page(intake, METRICS.empty(), ledger, alignment, *NOTHING, [], look, tolerance)
    ).text
    assert "Set aside: Nothing usable." in text
    assert "There was no device to compare in this session." in text
    assert "No second was compared." in text


def test_no_line_of_a_page_begins_with_a_percent_sign(archive, session):
    for text in (archive, session):
        assert re.search(r"\d\u00a0%", text)
        assert not re.search(r"\d %", text)


def test_same_tables_give_the_same_page(archive, records, look):
    assert archive_page(records, ARCHIVE_PICTURES, look) == archive


def _spaced(html):
    """The text with a space wherever an element ends."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html))


def test_what_it_would_have_meant_stands_with_its_caution_and_what_is_wanting(
    build_intake, metrics, ledger, alignment, look, tolerance
):
    """A device 20 bpm low on a ladder of efforts; but for the lowest, all are a band too low."""
    rows = aligned(ladder(), ladder() - 20)
    intake = build_intake()
    told = session_consequences(rows, intake, Effort(), Alarm(), Intervals())
    pictures = [Picture(name, f"{name}.", "<svg></svg>") for name in ("band-minutes", "traces")]
    tables = (*NOTHING[:-1], told)
    text = session_page(intake, metrics, ledger, alignment, *tables, pictures, look, tolerance)
    text = text[text.index('<section aria-labelledby="consequences">') :]
    section, rest = text.split("</section>", 1)
    shown = Page(section + "</section>").text
    assert "What it would have meant" in shown
    assert "Watch one put 10.0 of 15.0 minutes (66.7 %) in a wrong band of effort." in shown
    assert "Not told, for want of keys under body in the session’s card" in shown
    assert "no advice on health or training" in shown
    assert "ask a qualified professional and keep to local rules" in shown
    assert "900 of Watch one" in shown
    assert "band-minutes.svg" in section and "traces.svg" not in section
    assert "band-minutes.svg" not in rest


def test_a_session_of_nothing_compared_has_no_such_section(session):
    assert "What it would have meant" not in session
