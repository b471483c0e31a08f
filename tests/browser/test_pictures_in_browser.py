"""Pictures at the widths of screens: nothing is too small, cut, or on top of something else."""

import pytest
from playwright.sync_api import expect

from browser.conftest import ALL_DRAWN

KINDS = ("archive", "session", "device")
SIZES = {360: "phone", 390: "phone", 768: "column", 1280: "wide", 1920: "wide"}

# Of every text of every picture: what it says, the size of its letters on the screen, and its box,
# less what letters leave free above and below. What is turned runs beside its neighbours.
TEXTS = """() => [...document.querySelectorAll(".picture")].map((picture) => {
  const svg = picture.querySelector("svg"), whole = svg.getBoundingClientRect();
  const scale = whole.width / svg.viewBox.baseVal.width;
  const texts = [...svg.querySelectorAll("text")].filter((text) =>
    text.textContent.trim() && !/rotate\\((?!0)/.test(text.getAttribute("transform")));
  return {
    name: picture.dataset.name, size: picture.dataset.size,
    whole: [whole.left, whole.top, whole.right, whole.bottom],
    sideways: picture.scrollWidth - picture.clientWidth,
    texts: texts.map((text) => {
      const box = text.getBoundingClientRect();
      const letters = scale * parseFloat(getComputedStyle(text).fontSize), free = 0.2 * letters;
      const ends = [box.left, box.top + free, box.right, box.bottom - free];
      return [text.textContent, letters, ...ends];
    }),
  };
})"""


# A dark screen changes colours alone.
@pytest.mark.parametrize(
    ("width", "scheme"), [(1280, "dark"), *((width, "light") for width in SIZES)]
)
@pytest.mark.parametrize("kind", KINDS)
def test_every_text_can_be_read(looked_at, kind, scheme, width):
    page = looked_at(kind, width, scheme, unfold=True)
    found = page.evaluate(TEXTS)
    assert len(found) > 1
    for picture in found:
        assert picture["size"] == SIZES[width] and picture["sideways"] <= 1
        left, top, right, bottom = picture["whole"]
        assert right <= width
        for said, size, x1, y1, x2, y2 in picture["texts"]:
            where = (picture["name"], said)
            assert size >= 13, (where, size)
            assert x1 >= left - 1 and x2 <= right + 1 and y1 >= top and y2 <= bottom, where
        for place, (one, _, *a) in enumerate(picture["texts"]):
            for other, _, *b in picture["texts"][:place]:
                across, down = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
                assert across <= 2 or down <= 2, (picture["name"], one, other)


def test_a_picture_is_drawn_again_where_its_page_is_turned(opened, pages):
    page = opened(pages["session"], 390)
    traces = page.locator(".picture").first
    assert traces.get_attribute("data-size") == "phone"
    page.set_viewport_size({"width": 844, "height": 390})
    page.wait_for_function("document.querySelector('.picture').dataset.size === 'column'")
    page.evaluate(ALL_DRAWN)
    assert traces.locator("svg").count() == 1
    assert traces.locator("svg").bounding_box()["width"] > 700


@pytest.mark.parametrize("width", [1280, 1920])
def test_a_session_is_seen_on_one_screen(looked_at, width):
    page = looked_at("session", width)
    traces = page.locator(".picture[data-name=traces]").bounding_box()
    assert traces["y"] + traces["height"] <= 800
    lines = page.locator(".glance tbody tr").all()
    assert len(lines) == 2
    assert all(line.bounding_box()["height"] < 60 for line in lines)


def test_a_session_s_picture_begins_on_the_first_screen_of_a_phone(looked_at):
    page = looked_at("session", 390)
    assert page.locator(".picture[data-name=traces]").bounding_box()["y"] < 740


def swiped(page, x, y, across, down):
    """A finger moved over the page."""
    send = page.context.new_cdp_session(page).send
    send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for part in (0.1, 0.2, 0.4, 0.6, 0.8, 1):
        at = {"x": x + part * across, "y": y + part * down}
        send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [at]})
    send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def test_touch_scrolls_the_page_and_moves_the_handles(browser, pages):
    viewport = {"width": 360, "height": 740}
    page = browser.new_context(viewport=viewport, has_touch=True, offline=True).new_page()
    page.goto(pages["session"].as_uri())
    page.evaluate(ALL_DRAWN)
    drawing, span = page.locator(".looked-into .drawing"), page.locator(".explorer .span")
    drawing.scroll_into_view_if_needed()
    for across in (0, 120):
        before, box = page.evaluate("scrollY"), drawing.bounding_box()
        swiped(page, box["x"] + 100, box["y"] + 200, across, -150)
        page.wait_for_function("before => scrollY > before + 80", arg=before)
        drawing.evaluate("one => one.scrollIntoView({behavior: 'instant', block: 'end'})")
    swiped(page, box["x"] + 100, box["y"] + 200, 120, 0)
    assert span.inner_text() == "In the whole session"

    page.reload()  # what was swiped scrolls on
    page.evaluate(ALL_DRAWN)
    page.locator(".explorer").scroll_into_view_if_needed()
    box = page.locator(".handles").bounding_box()
    right, y = box["x"] + box["width"], box["y"] + box["height"] - 22
    # 44 by 44 pixels are to be touched of either, and the page is no wider for it.
    zone = "([x, y]) => document.elementFromPoint(x, y)?.ariaLabel"
    for name, x in (("From", box["x"] - 22), ("To", right)):
        corners = [(x + a, y + b) for a in (-21, 21) for b in (-21, 21)]
        assert [page.evaluate(zone, corner) for corner in corners] == [name] * 4
    assert page.evaluate("document.scrollingElement.scrollWidth") <= 360
    swiped(page, right, y, -box["width"] / 4, 0)
    expect(span).to_contain_text("From 0:00 to ")
    share = page.get_by_role("slider", name="To").evaluate("one => one.value / one.max")
    assert share == pytest.approx(0.75, abs=0.03)
    page.context.close()


@pytest.mark.parametrize("width", [390, 1280])
def test_the_first_page_begins_with_a_ranking_on_its_first_screen(looked_at, width):
    page = looked_at("archive", width)
    first = page.locator("main figure, main table, main section").first
    assert first.locator(".picture[data-name=ranking]").count() == 1
    box = page.locator(".picture[data-name=ranking]").bounding_box()
    assert box["y"] + box["height"] <= {390: 740, 1280: 800}[width]


def test_lines_have_most_of_the_width_of_a_phone_and_their_times_are_marked(looked_at):
    page = looked_at("session", 390)
    whole = page.locator(".picture[data-name=traces]").bounding_box()
    panel = page.locator(".concat_0_group path.background").first.bounding_box()
    assert panel["width"] > 0.8 * whole["width"]
    said = page.locator(".picture[data-name=traces] text").all_text_contents()
    assert len([text for text in said if text.endswith(" min")]) >= 4
