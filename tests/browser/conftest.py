"""Headless Chromium, and the report of the demo in it."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import sync_playwright

from strapline.telling.report.pages import PAGES

CHROMIUM = shutil.which("chromium")
WIDTHS = (360, 1280, 1920)
# Pages are called by their templates.
KINDS = tuple(Path(page.template).stem for page in PAGES)


@pytest.fixture(scope="session")
def browser():
    if CHROMIUM is None:
        pytest.skip("no Chromium found: pages are not tested in a browser (Debian: chromium)")
    with sync_playwright() as playwright:
        # A container's root has no sandbox; no page here is anyone else's.
        launched = playwright.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
        )
        yield launched
        launched.close()


# Tells what the page's own policy kept from being loaded or run.
TELL_OF_REFUSALS = """
addEventListener("securitypolicyviolation", (refused) =>
    tellOfRefusal(`${refused.effectiveDirective} ${refused.blockedURI}`));
"""

# With every picture in its place, also those that are far down.
ALL_DRAWN = (
    "() => document.querySelector('.picture') && Promise.all(PICTURES.all.map(PICTURES.drawn))"
)


# As folded as when it was opened, or with nothing folded.
FOLD = """(unfold) => {
  for (const one of document.querySelectorAll("details")) {
    one.dataset.was ??= one.open;
    one.open = unfold || one.dataset.was === "true";
  }
}"""
# What is seen to have another size in one frame is drawn otherwise in the next.
NEXT_FRAME = """() => new Promise((seen) =>
    requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(seen))))"""


def open_in(browser, path, width=1280, scheme="light"):
    """A page of its own, with what it complained of, asked for, and did amiss."""
    context = browser.new_context(
        viewport={"width": width, "height": 900}, color_scheme=scheme, offline=True
    )
    page = context.new_page()
    page.complaints, page.requested, page.amiss = [], [], []
    page.on("console", lambda message: page.complaints.append(message.text))
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    page.on("request", lambda request: page.requested.append(request.url))
    page.on("dialog", lambda dialog: (page.amiss.append(dialog.message), dialog.dismiss()))
    page.on("popup", lambda other: page.amiss.append(other.url))
    page.expose_function("tellOfRefusal", lambda refused: page.amiss.append(refused))
    page.add_init_script(TELL_OF_REFUSALS)
    page.goto(path.as_uri())
    page.evaluate(ALL_DRAWN)
    return page


@pytest.fixture
def opened(browser):
    """A function that opens a file and gives the page, which a test may change.

    No page may do anything that its own policy refuses, nor open a dialog or another page.
    """
    pages = []

    def open_page(*of, **how):
        pages.append(open_in(browser, *of, **how))
        return pages[-1]

    yield open_page
    for page in pages:
        page.evaluate("0")  # whatever it still has to tell is told before
        page.context.close()
    assert [page.amiss for page in pages] == [[] for _ in pages]


@pytest.fixture(scope="session")
def looked_at(browser, pages):
    """A function that shows a page of a kind, as it was when it was opened, in a width, a scheme
    and a medium. It is opened once for all who only look at it."""
    there = {}

    def show(kind, width=1280, scheme="light", media="screen", unfold=False):
        if kind not in there:
            there[kind] = open_in(browser, pages[kind], width, scheme)
        page = there[kind]
        page.emulate_media(color_scheme=scheme, media=media)
        page.set_viewport_size({"width": width, "height": 900})
        page.evaluate(FOLD, unfold)
        page.evaluate("scrollTo(0, 0)")
        page.evaluate(NEXT_FRAME)  # only then does a page hear of its new size and scheme
        page.evaluate(ALL_DRAWN)
        assert page.amiss == []
        return page

    yield show
    for page in there.values():
        page.context.close()


@pytest.fixture(scope="session")
def report(demo):
    folder, _ = demo
    return folder / "results" / "demo" / "report"


@pytest.fixture(scope="session")
def pages(report):
    """One page of each kind."""
    of = {"sessions": "2026-03-21-strength-oskar", "devices": "lantern-watch"}
    files = (page.file.format(of.get(page.file.partition("/")[0])) for page in PAGES)
    return dict(zip(KINDS, map(report.joinpath, files), strict=True))
