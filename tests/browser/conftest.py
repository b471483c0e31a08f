"""Headless Chromium, and the report of the demo in it."""

import shutil

import pytest
from playwright.sync_api import sync_playwright

CHROMIUM = shutil.which("chromium")
WIDTHS = (360, 1280, 1920)


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
ALL_DRAWN = "() => document.querySelector('.picture') && Promise.all(pictures.map(drawn))"


@pytest.fixture
def opened(browser):
    """A function that opens a file and gives the page, with what it complained of and asked for.

    No page may do anything that its own policy refuses, nor open a dialog or another page.
    """
    contexts, amiss = [], []

    def open_page(path, width=1280, scheme="light"):
        context = browser.new_context(
            viewport={"width": width, "height": 900}, color_scheme=scheme, offline=True
        )
        contexts.append(context)
        page = context.new_page()
        page.complaints, page.requested = [], []
        page.on("console", lambda message: page.complaints.append(message.text))
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.on("request", lambda request: page.requested.append(request.url))
        page.on("dialog", lambda dialog: (amiss.append(dialog.message), dialog.dismiss()))
        page.on("popup", lambda other: amiss.append(other.url))
        page.expose_function("tellOfRefusal", lambda refused: amiss.append(refused))
        page.add_init_script(TELL_OF_REFUSALS)
        page.goto(path.as_uri())
        page.evaluate(ALL_DRAWN)
        return page

    yield open_page
    for context in contexts:
        for page in context.pages:
            page.evaluate("0")  # whatever it still has to tell is told before
        context.close()
    assert amiss == []


@pytest.fixture(scope="session")
def report(demo):
    folder, _ = demo
    return folder / "results" / "demo" / "report"


@pytest.fixture(scope="session")
def pages(report):
    """One page of each kind."""
    return {
        "archive": report / "index.html",
        "sessions": report / "sessions.html",
        "head-to-head": report / "head-to-head.html",
        "method": report / "method.html",
        "glossary": report / "glossary.html",
        "data": report / "data.html",
        "plan": report / "plan.html",
        "sheet": report / "sheet.html",
        "checklist": report / "checklist.html",
        "session": report / "sessions" / "2026-03-21-strength-oskar.html",
        "origin": report / "sessions" / "2026-03-21-strength-oskar.origin.html",
        "device": report / "devices" / "lantern-watch.html",
    }
