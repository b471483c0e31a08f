"""Words that would be script if a page took them for more than text, in every place there is.

What a policy of a page must keep out is after Content Security Policy Level 3
(https://www.w3.org/TR/CSP3/), from memory.
"""

import re
import threading
import xml.etree.ElementTree as ElementTree
import zipfile
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import expect

from browser.conftest import ALL_DRAWN
from browser.hostile import write_bench
from strapline.ground.report_files import LOOKS, SESSIONS_IN_ORDER, THEME
from strapline.running.commands import main
from workflow.project import Project

POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">')
RUN = "typeof hit !== 'undefined' || frames.length > 0"
# What could run or ask, and is on no page: whatever a page needs is in the files beside it.
FORBIDDEN = (
    "img, iframe, frame, object, embed, base, style, image, use, "
    "link:not([href$='style.css'], [href$='drawing.js'][rel=preload]), "
    "script:not([src$='site.js'], [src$='stretch.js'], [src$='pictures.js'], [src$='drawing.js'], "
    "[src$='drawings.js'], [src$='theme.js'], [src$='/sessions.js'], [type='application/json']), "
    "[http-equiv=refresh], [style*=url], "
    "form[action], [formaction], foreignObject, animate, set, template"
)
OWN_EVENTS = """() => [...document.querySelectorAll("*")]
    .flatMap((one) => one.getAttributeNames()).filter((name) => name.startsWith("on"))"""


@pytest.fixture(scope="module")
def project(with_looks, tmp_path_factory, repository):
    return Project(with_looks(tmp_path_factory.mktemp("hostile")), repository)


@pytest.fixture(scope="module")
def marks(project):
    """The marks of all hostile words, after everything was made of them."""
    written = write_bench(project.folder)
    where = ["--results", f"{project.results}", "--inbox", f"{project.folder / 'inbox'}"]
    project.snakemake("all", "publish")
    for session in (project.results / "sessions").iterdir():
        assert main(["package", session.name, *where]) == 0
    return written


@pytest.fixture(scope="module")
def html(project, marks):
    pages = sorted((project.results / "report").rglob("*.html"))
    assert len(pages) > 12
    return pages


def test_every_page_begins_with_a_policy_that_lets_nothing_in(html):
    for path in html:
        text = path.read_text("utf-8")
        (policy,) = POLICY.findall(text)
        assert text.index(policy) < min(map(text.index, ("<link", "<script", "<title")))
        rules = dict(rule.split(maxsplit=1) for rule in policy.split("; "))
        assert rules.pop("default-src") == "'none'"
        assert set(rules.values()) <= {"'none'", "'self'"}
        assert {"base-uri", "form-action"} <= {name for name in rules if rules[name] == "'none'"}
        assert rules["script-src"] == "'self'"
        assert '<meta name="referrer" content="no-referrer">' in text


def test_pages_in_a_package_are_those_of_the_report(project, html):
    written = {path.name: path.read_bytes() for path in html}
    packages = list((project.results / "packages").iterdir())
    assert len(packages) == 3
    for path in packages:
        with zipfile.ZipFile(path) as package:
            names = [name for name in package.namelist() if name.endswith((".html", ".htm"))]
            pages = [name for name in names if not name.startswith("src/")]
            assert len(pages) == 2
            assert all(package.read(name) == written[Path(name).name] for name in pages)


def test_hostile_words_are_shown_as_text(project, html, marks, opened):
    shown, page, report = "", opened(html[0], 360), project.results / "report"
    for path in html:
        page.requested.clear()
        page.goto(path.as_uri())
        page.evaluate(ALL_DRAWN)
        page.locator("details").evaluate_all("all => all.forEach(one => { one.open = true })")
        assert page.evaluate("document.scrollingElement.scrollWidth") <= 360, path.name
        page.mouse.move(180, 300)
        page.wait_for_timeout(100)
        assert not page.evaluate(RUN), path.name
        assert page.url == path.as_uri()
        assert page.locator(FORBIDDEN).count() == 0, path.name
        assert page.evaluate(OWN_EVENTS) == []
        links = page.locator("[href]").evaluate_all("all => all.map(one => one.href)")
        assert all(str(link).startswith("file:///") for link in links)
        assert page.complaints == []
        own = {path, *(report / name for name in (*LOOKS, THEME, SESSIONS_IN_ORDER))}
        assert set(page.requested) <= {file.as_uri() for file in own}
        text = page.locator("body").text_content()
        assert "\u202e" not in text
        shown += text
    missing = [mark for mark in marks if mark not in shown]
    assert missing == [] and "{{7*7}}" in shown


def test_hostile_words_are_text_in_what_the_script_writes(html, opened):
    (session,) = (path for path in html if path.match("sessions/svg-onload*[!n].html"))
    page = opened(session)
    page.locator(".picture").first.focus()
    page.keyboard.press("ArrowRight")
    reading = page.locator(".reading")
    expect(reading).to_contain_text("<script>hit=1</script>")
    assert reading.locator("*").count() == 0
    page.evaluate("location.hash = 't=<svg onload=hit=1>'")
    expect(page.locator(".explorer .span")).to_have_text("In the whole session")
    assert page.locator(".neighbours *:not(a)").count() == 0
    assert not page.evaluate(RUN) and page.complaints == []


def test_pictures_opened_on_their_own_run_and_ask_nothing(project, marks, opened):
    pictures = sorted(project.results.rglob("*.svg"))
    folders = {path.relative_to(project.results).parts[0] for path in pictures}
    assert folders == {"publish"}
    page = opened(pictures[0])
    for path in pictures:
        text = path.read_text("utf-8")
        assert "<!" not in text and "<?xml-" not in text
        for element in ElementTree.fromstring(text).iter():
            kind = element.tag.rpartition("}")[2]
            assert kind not in ("script", "foreignObject", "a", "image", "use", "animate", "set")
            assert kind != "style" or set(re.findall(r"url\((.{9})", element.text)) == {"data:font"}
            for name, value in element.attrib.items():
                assert not name.rpartition("}")[2].startswith(("on", "href", "src"))
                assert "url(" not in value or value.startswith("url(#")
        page.requested.clear()
        page.goto(path.as_uri())
        assert not page.evaluate(RUN) and page.complaints == []
        others = [url for url in page.requested if not url.startswith("data:font/")]
        assert others == [path.as_uri()]


# Whatever loads or runs by itself, should it ever come into a page as it is. A refresh is left
# out: no policy keeps a page from leaving.
SLIPPED = """
<script>hit = 1</script><script src="{host}/script"></script><svg onload="hit = 1"></svg>
<img src="{host}/img" onerror="hit = 1"><link rel="stylesheet" href="{host}/link">
<link rel="prefetch" href="{host}/prefetch"><style>main {{ background: url({host}/css) }}</style>
<p style="background: url({host}/style)">a</p><iframe src="{host}/iframe"></iframe>
<iframe srcdoc="<script>top.hit = 1</script>"></iframe><object data="{host}/object"></object>
<embed src="{host}/embed"><video src="{host}/video" poster="{host}/poster"></video>
<audio src="{host}/audio"></audio><svg><image href="{host}/image" /></svg>
<base href="{host}/base/"><img src="relative">
"""


@pytest.fixture
def asked():
    """The address of a server, and the paths it has been asked for."""
    paths = []

    class Listening(BaseHTTPRequestHandler):
        def do_GET(self):
            paths.append(self.path)
            self.send_error(404)

        def log_message(self, *_):
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Listening)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}", paths
    server.shutdown()


def test_what_slips_into_a_page_neither_runs_nor_asks(browser, html, asked):
    host, paths = asked
    text = html[0].read_text("utf-8").replace("</main>", SLIPPED.format(host=host) + "</main>")
    path = html[0].with_name("slipped.html")

    def opened_with(content):
        path.write_text(content, "utf-8")
        page = browser.new_page()
        page.goto(path.as_uri(), wait_until="load")
        page.wait_for_timeout(300)
        ran = page.evaluate("typeof hit !== 'undefined'")
        page.close()
        return ran

    try:
        assert opened_with(text) is False and paths == []
        # All of it would have run and asked without the policy.
        assert opened_with(POLICY.sub("", text)) is True
        assert {"/script", "/img", "/css", "/style", "/iframe", "/object"} <= set(paths)
    finally:
        path.unlink()
