"""The pages, read as a browser would read them."""

import re
from html import unescape
from html.parser import HTMLParser

import pytest

from strapline.charts.render import Picture
from strapline.consequences.session_consequences import session_consequences
from strapline.report.faults import device_faults
from strapline.report.pages import archive_page, device_page, session_page, stylesheet
from strapline.session.alignment import SessionAlignment
from strapline.session.ledger import SessionLedger
from strapline.settings import Alarm, Effort, Intervals
from strapline.tables.archive import CONDITIONS, FAULTS, NOTICES, SESSIONS, STANDINGS
from strapline.tables.sessions import ALIGNED, CONSEQUENCES, METRICS, OFFSETS, SENTENCES
from unit.consequences.steps_of_effort import aligned, ladder

# Neither offsets, nor seconds, nor sentences, nor consequences.
NOTHING = (OFFSETS.empty(), ALIGNED.empty(), SENTENCES.empty(), CONSEQUENCES.empty())
LABELS = {"watch": "Watch one", "band": "Band two"}

HOSTILE = "<img src=http://x.invalid/a onerror=alert(1)>\"'&\u202eevil\u2067" + "y" * 300
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
def archive(sessions, metrics, standings, notices, picture, look, tolerance, evidence):
    tables = (sessions, metrics, standings, notices)
    return archive_page(*tables, LABELS, [picture], look, tolerance, evidence)


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
def device(sessions, metrics, standings, look, tolerance, evidence, went_wrong):
    tables = (sessions, metrics, standings)
    return device_page("watch", "Watch one", *tables, [], look, tolerance, evidence, went_wrong)


@pytest.fixture
def every_page(archive, session, device):
    return [archive, session, device]


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
        "Over all activities: Watch one was off by 6.2 bpm (6.2 as recorded; 4 sessions, "
        "one wearer).",
        "Sessions, newest first",
        "newer",
        "older",
        "Set aside, and why",
        "No strap among its files.",
        "Moved by 3 s.",
        "Read as UTC.",
        "not medical",
    ]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)
    assert "one wearer and says little about other people" in text
    assert text.count("No strap among its files.") == 1
    assert "odd" not in text[: text.index("Set aside")]


def test_archive_table_has_the_tables_figures(archive):
    row = re.search(r"<tr[^>]*>\s*<th scope=\"row\">Strength.*?</tr>", archive, re.DOTALL)[0]
    cells = re.findall(r'<td class="n[^"]*">([^<]*)</td>', row)
    assert cells == ["6.2", "6.2", "88.8", "97.1", "4", "1"]


def test_archive_lists_errors_of_devices_and_links(archive):
    page = Page(archive)
    assert "Watch one 33.2" in page.text
    links = {a["href"] for a in page.all("a")}
    assert {"sessions/s-1.html", "devices/watch.html"} <= links
    assert "../archive/charts/traces.vl.json" in links


def test_archive_says_what_sessions_show_together_before_the_figures(archive):
    text = _spaced(archive)
    parts = [
        "Watch one tends to read 3.5 bpm lower than the strap (95 % interval −5.2 to −1.8 bpm, "
        "with clocks as recorded −5.2 to −1.2 bpm; 4 sessions, one wearer).",
        "between −9.1 and +2.1 bpm.",
        "All activities Watch one −3.5 −5.2 to −1.8 shown −9.1 to +2.1 −20.5 −25.2 to −17.3",
        "Head to head",
        "Watch one was, by 2.5 bpm (95 % interval −1.1 to 6.1 bpm, with clocks as "
        "recorded −1.1 to 6.6 bpm; p over all pairs 0.250, as recorded 0.250; 4 sessions",
        "device and wrist cannot be told apart",
        "Band two , Watch one +2.5 −1.1 to +6.1 not told apart 0.250 not shown 4 1",
    ]
    places = [text.index(part) for part in parts]
    assert places == sorted(places)


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
        "averaged 107 bpm where the strap averaged 139: −32 bpm, −23.0 %.",
        "600 570 30 excluded 20, device missing 10",
        "Watch one : It fits.",
        "Indoors yes",
        "f" * 64,
        "Squats Watch one 139.0 107.0 −32.0 7.8",
        "in percent of 188 bpm, the wearer’s maximum heart rate as stated.",
        "Very light Watch one 139.0 107.0 −32.0 2.2",
        "A line & another.",
    ):
        assert part in text, part
    assert "../../sessions/s-1/charts/traces.png" in {a["href"] for a in page.all("a")}


def test_device_has_its_activities_and_sessions(device):
    page = Page(device)
    assert "Watch one was off by 6.2 bpm" in page.text
    assert "../sessions/s-1.html" in {a["href"] for a in page.all("a")}
    assert "../sessions/s-0.html" not in {a["href"] for a in page.all("a")}
    assert "2026-02-01 newer Strength 33.2 35.0 −32.0 41.5 97.5 w" in _spaced(device)


def test_hostile_names_are_text(
    build_intake,
    sessions,
    metrics,
    standings,
    notices,
    ledger,
    alignment,
    picture,
    look,
    tolerance,
    evidence,
    fault_tables,
):
    intake = build_intake(HOSTILE, file=HOSTILE)
    hostile_look = look.model_copy(update={"title": HOSTILE, "credit": HOSTILE})
    sessions["title"] = HOSTILE
    notices["text"] = HOSTILE
    labels = {"watch": HOSTILE, "band": HOSTILE}
    evidence.firmware["firmware_after"] = HOSTILE
    faults, conditions = fault_tables
    conditions[["condition", "value_a", "value_b"]] = HOSTILE
    went_wrong = device_faults("watch", HOSTILE, faults, conditions, evidence.policy.claims)
    tables = (sessions, metrics, standings)
    pages = [
        session_page(
            intake,
            metrics,
            ledger,
            alignment,
            *NOTHING,
            [picture],
            hostile_look,
            tolerance,
        ),
        archive_page(*tables, notices, labels, [picture], hostile_look, tolerance, evidence),
        device_page("watch", HOSTILE, *tables, [], hostile_look, tolerance, evidence, went_wrong),
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
    assert "../../sessions/..%2Fa%20b%3F%23x/charts/traces.png" in text


def test_empty_archive_says_so(look, tolerance, nothing, policy):
    empty = (SESSIONS.empty(), METRICS.empty(), STANDINGS.empty(), NOTICES.empty())
    text = Page(archive_page(*empty, {}, [], look, tolerance, nothing)).text
    assert "No session could be compared with a reference yet." in text
    assert "Nothing was set aside." in text
    tables = (SESSIONS.empty(), METRICS.empty(), STANDINGS.empty())
    unjudged = device_faults("watch", "W", FAULTS.empty(), CONDITIONS.empty(), policy.claims)
    text = Page(device_page("watch", "W", *tables, [], look, tolerance, nothing, unjudged)).text
    assert "No session of this device" in text
    assert "What goes wrong" not in text


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


def test_same_tables_give_the_same_page(
    archive, sessions, metrics, standings, notices, picture, look, tolerance, evidence
):
    tables = (sessions, metrics, standings, notices)
    again = archive_page(*tables, LABELS, [picture], look, tolerance, evidence)
    assert again == archive


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
