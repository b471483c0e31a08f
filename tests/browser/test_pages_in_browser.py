"""Every kind of page in a real browser: it opens, asks for nothing, and can be used by anyone."""

import re
from pathlib import Path
from urllib.parse import unquote, urlsplit

import numpy as np
import pandas as pd
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from browser.conftest import ALL_DRAWN, KINDS, NEXT_FRAME
from strapline.ground.settings import Palette
from strapline.telling.drawings.palette import on_dark

PHONE = 360
# WCAG 2.2, levels A and AA, as far as a program can check them (axe-core's rules).
# It would fetch style sheets anew, which no page may, and tell all that is as it should be.
STANDARD = {
    "preload": False,
    "resultTypes": ["violations"],
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
}


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_opens_without_a_complaint_and_asks_nobody(looked_at, kind):
    page = looked_at(kind)
    assert page.complaints == []
    assert len(page.requested) > 1
    assert all(url.startswith(("file://", "data:")) for url in page.requested)
    leads_somewhere(page)
    is_walked_by_keyboard_from_end_to_end(page)


def leads_somewhere(page):
    links = page.locator("a").evaluate_all("all => all.map(one => one.href)")
    for address, _, anchor in (link.partition("#") for link in links):
        path = Path(unquote(urlsplit(address).path))
        assert path.is_file(), address
        if anchor:
            assert f'id="{anchor}"' in path.read_text(encoding="utf-8")


def is_walked_by_keyboard_from_end_to_end(page):
    stops = page.evaluate(
        """() => [...document.querySelectorAll('a, button, input, select, summary, [tabindex="0"]')]
            .filter(e => e.checkVisibility({visibilityProperty: true})).length"""
    )
    seen = 0
    for _ in range(stops):
        page.keyboard.press("Tab")
        outline = page.evaluate(
            """() => document.activeElement === document.body ? null
                : getComputedStyle(document.activeElement).outlineStyle"""
        )
        assert outline not in (None, "none")
        seen += 1
    assert seen == stops > 5
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement === document.body")


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_meets_the_accessibility_standard_in_the_dark(looked_at, kind):
    meets_the_accessibility_standard(looked_at(kind, scheme="dark", unfold=True))


def meets_the_accessibility_standard(page):
    found = Axe().run(page, options=STANDARD)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_can_be_used_on_a_phone(looked_at, kind):
    page = looked_at(kind, PHONE, unfold=True)
    fits(page, PHONE)
    cells = page.locator("tbody td:visible")
    labelled = "all => all.every(one => one.dataset.label !== undefined)"
    assert cells.count() > 0 and cells.evaluate_all(labelled)
    meets_the_accessibility_standard(page)


@pytest.mark.parametrize("width", [768, 1920])
@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_reached_by_scrolling_sideways(looked_at, kind, width):
    fits(looked_at(kind, width, unfold=True), width)


def fits(page, width):
    assert page.evaluate("document.scrollingElement.scrollWidth") <= width
    tables = page.locator(".wide")
    assert tables.count() > 0
    assert tables.evaluate_all("all => all.every(one => one.scrollWidth <= one.clientWidth + 1)")


@pytest.mark.parametrize("kind", KINDS)
def test_a_page_can_be_read_on_paper(looked_at, kind):
    page = looked_at(kind, media="print")
    folded = "details:not([open], .minded)"
    closed = page.locator(folded).count()
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert page.locator(folded).count() == 0
    assert not page.locator("header nav").is_visible()
    for hidden in page.locator(".search, .explorer, .files, .minded").all():
        assert not hidden.is_visible()
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert page.locator(folded).count() == closed

    width = 680  # A4 at 96 dpi, less 15 mm on either side
    page = looked_at(kind, width, media="print", unfold=True)
    assert page.evaluate("document.scrollingElement.scrollWidth") <= width
    inside = "all => all.every(one => one.getBoundingClientRect().right <= 681)"
    assert page.locator("table, .picture svg").evaluate_all(inside)


def test_the_answer_is_on_the_first_two_screens_of_a_phone(looked_at):
    page = looked_at("archive", PHONE)
    screen = 740
    ranking = page.locator(".picture[data-name=ranking]").bounding_box()
    lead = page.locator(".lead").bounding_box()
    assert ranking["y"] + ranking["height"] < screen
    assert lead["y"] + lead["height"] < 2 * screen
    # With a picture of five devices at five activities.
    assert page.evaluate("document.scrollingElement.scrollHeight") < 5200


def test_cells_on_a_phone_say_which_column_they_are_of(looked_at, pages):
    page = looked_at("archive", PHONE)
    row = page.locator("table").first.locator("tbody tr").first
    labels = row.locator("td").evaluate_all("all => all.map(one => one.dataset.label)")
    assert labels[:2] == ["Average, minus strap", "Highest, minus strap"]
    page = looked_at("session", PHONE)
    row = page.locator("table.in-pairs").first.locator("tbody tr").first
    labels = row.locator("td").evaluate_all("all => all.map(one => one.dataset.label)")
    devices = ("Lantern watch", "Thimble band")
    assert [label for label in labels if label.endswith(", as it is")] == [
        f"{device}, as it is" for device in devices
    ]
    assert all(label.startswith(devices) for label in labels)


def test_a_link_to_something_folded_unfolds_it(opened, pages):
    page = opened(pages["data"])
    assert not page.locator("#comparisons table").is_visible()
    page.get_by_role("link", name="Comparisons", exact=True).click()
    # The page hears of the new address a moment after the click.
    expect(page.locator("#comparisons table")).to_be_visible()


def test_charts_are_drawn(looked_at):
    page = looked_at("session", unfold=True)
    for name in ("traces", "bland-altman", "error-by-offset"):
        drawing = page.locator(f".picture[data-name='{name}'] svg")
        assert drawing.bounding_box()["width"] > 800
        assert drawing.locator("path").count() > 10


def colours(page):
    """Of the lines in the first picture, of its letters, and of its devices' names on the page."""
    drawing = page.locator(".picture svg").first
    lines = drawing.locator("g.mark-line path[stroke]").all()
    written = drawing.locator(".role-title-text text").first.get_attribute("fill")
    names = page.locator(".device").evaluate_all("all => all.map((one) => one.style.color)")
    return {line.get_attribute("stroke") for line in lines}, written, set(names)


def rgb(colour):
    return "rgb({}, {}, {})".format(*(int(colour[at : at + 2], 16) for at in (1, 3, 5)))


def test_a_picture_is_in_the_colours_of_the_screen_and_on_paper_in_those_of_paper(opened, pages):
    light, dark = Palette(), on_dark(Palette())

    def shows(palette):
        page.evaluate(ALL_DRAWN)
        lines, ink, names = colours(page)
        assert ink == palette.ink and len(names) == 2
        assert lines <= {*palette.devices, palette.reference, palette.paper} and len(lines) > 2
        assert names <= {rgb(colour) for colour in palette.devices}

    page = opened(pages["session"], scheme="dark")
    shows(dark)
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    shows(light)
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    shows(dark)
    page.emulate_media(color_scheme="light")
    page.evaluate(NEXT_FRAME)  # only then does a page hear of another colour scheme
    shows(light)


def test_a_page_is_printed_with_every_picture_on_it(browser, pages, tmp_path):
    context = browser.new_context(offline=True)
    page = context.new_page()
    page.goto(pages["session"].as_uri())
    page.locator(".picture svg").first.wait_for()
    page.pdf(path=tmp_path / "printed.pdf")
    assert page.locator(".picture:not(.drawn)").evaluate_all(
        "all => all.every((one) => one.closest('.minded'))"
    )
    printed = (tmp_path / "printed.pdf").read_bytes()
    assert len(re.findall(rb"/Type */Page\b", printed)) <= 4
    context.close()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheet_is_one_page_of_paper(browser, report, tmp_path, paper):
    context = browser.new_context(offline=True)
    page = context.new_page()
    page.goto((report / "sheet.html").as_uri())
    content = page.pdf(path=tmp_path / "sheet.pdf", format=paper)
    assert len(re.findall(rb"/Type\s*/Page\b", content)) == 1
    context.close()


@pytest.mark.parametrize("kind", ["archive", "session", "device"])
def test_without_script_a_sentence_stands_for_each_picture_beside_its_figures(browser, pages, kind):
    context = browser.new_context(java_script_enabled=False, offline=True)
    page = context.new_page()
    page.goto(pages[kind].as_uri())
    said = page.locator(".picture noscript").all_text_contents()
    assert len(said) == page.locator(".picture").count() > 0
    assert all("snakemake publish" in text for text in said)
    assert page.locator("table").count() > 0
    context.close()


def test_sessions_are_found_and_sorted(opened, pages):
    page = opened(pages["sessions"])
    rows = page.locator("table[data-search] tbody tr")
    count = rows.count()
    page.get_by_label("Find a session").fill("strength 2026-03")
    shown = rows.filter(visible=True)
    assert 0 < shown.count() < count
    assert all("Strength" in text and "2026-03" in text for text in shown.all_inner_texts())
    assert page.locator(".search output").inner_text() == f"{shown.count()} of {count}"
    page.get_by_label("Find a session").fill("")
    assert rows.filter(visible=True).count() == count

    dates = rows.locator(".date").all_inner_texts()
    page.get_by_role("button", name="Date").click()
    assert rows.locator(".date").all_inner_texts() == sorted(dates)
    page.get_by_role("button", name="Date").click()
    assert rows.locator(".date").all_inner_texts() == sorted(dates)[::-1]
    assert page.get_by_role("columnheader", name="Date").get_attribute("aria-sort") == "descending"


def test_sessions_are_filtered_and_the_worst_of_a_device_comes_first(opened, pages):
    page = opened(pages["sessions"], PHONE)
    rows = page.locator("table[data-search] tbody tr").filter(visible=True)
    page.get_by_label("Device").select_option("Thimble band")
    page.get_by_label("Activity").select_option("Strength")
    found = rows.all_inner_texts()
    assert found and all("Strength" in text for text in found)
    cells = rows.locator("td[data-label='Thimble band']").all_inner_texts()
    assert len(cells) == len(found) and sorted(cells, key=float, reverse=True) == cells
    assert page.locator(".search output").inner_text().startswith(f"{len(found)} of ")


def test_the_heads_of_a_long_table_stay_in_sight(opened, pages):
    page = opened(pages["sessions"])
    page.locator("tbody tr").last.scroll_into_view_if_needed()
    assert page.locator("thead").bounding_box()["y"] == pytest.approx(0, abs=1)


def test_a_session_leads_to_those_of_its_activity_before_and_after_it(looked_at, pages):
    page = looked_at("session")
    there = page.locator(".neighbours a")
    expect(there).to_have_count(2)
    assert all("strength" in link for link in there.all_inner_texts())
    before, after = (link.get_attribute("href") for link in there.all())
    assert before < pages["session"].name < after
    assert all((pages["session"].parent / name).is_file() for name in (before, after))


def figures(page):
    """Of each device: error, average, the strap's, difference, and that of maxima."""
    return [
        told.locator("[data-figure]").all_inner_texts()
        for told in page.locator(".explorer .told").all()
    ]


def table_figures(page, label):
    row = page.locator(".figures tr", has=page.get_by_role("rowheader", name=label)).first
    cells = row.locator("td:has(a[href*='.settled.'])").all()
    return [cell.inner_text().split("\n")[0] for cell in cells]


def test_the_seconds_come_when_somebody_looks_into_the_picture(opened, pages):
    """And say of the whole session what the page said before."""
    page = opened(pages["session"])
    seconds, told = pages["session"].with_suffix(".seconds.js").as_uri(), figures(page)
    assert seconds not in page.requested
    page.locator(".picture").first.hover()
    expect(page.locator(".reading")).to_contain_text("Lantern watch")
    assert seconds in page.requested and figures(page) == told


def test_a_stretch_of_the_whole_session_has_the_error_of_the_table(looked_at):
    page = looked_at("session")
    found = [row[0] for row in figures(page)]
    assert found == table_figures(page, "Mean absolute error")


def test_a_stretch_of_the_whole_session_has_the_averages_of_its_first_sentences(
    looked_at, pages, report
):
    """Each device's and the strap's, over the seconds at which they were compared."""
    page = looked_at("session")
    courses = pd.read_parquet(
        report.parent / "sessions" / pages["session"].stem / "courses.parquet"
    )
    shown = [[float(cell.replace("−", "-")) for cell in row[1:]] for row in figures(page)]
    mean, strap = courses["mean_device_bpm"], courses["mean_reference_bpm"]
    top = courses["maximum_device_bpm"] - courses["maximum_reference_bpm"]
    assert courses["compared_s"].nunique() == strap.nunique() == 2
    expected = np.transpose([mean, strap, mean - strap, top])
    np.testing.assert_allclose(sorted(shown), sorted(expected.tolist()), atol=0.051)


def box_of(page, part):
    """Where it begins, its middle, and its width, without its outline."""
    found = page.locator(part).first.evaluate("one => one.getBoundingClientRect().toJSON()")
    return found["left"], found["top"] + found["height"] / 2, found["width"]


def test_a_stretch_is_chosen_by_dragging_by_a_fault_by_handles_and_by_address(opened, pages):
    page = opened(pages["session"])
    span, brush = page.locator(".explorer .span"), ".stretch_brush path"
    whole = figures(page)
    left, middle, wide = box_of(page, ".concat_0_group path.background")
    page.mouse.move(left + wide / 4, middle)
    page.mouse.down()
    page.mouse.move(left + wide / 3, middle)
    page.mouse.move(left + wide / 2, middle)
    page.mouse.up()
    expect(span).to_contain_text("From ")
    expect(page.locator(".reading")).to_contain_text("Lantern watch")
    dragged, said, address = figures(page), span.inner_text(), page.url
    assert dragged != whole
    x, _, width = box_of(page, brush)
    assert x == pytest.approx(left + wide / 4, abs=2) and width == pytest.approx(wide / 4, abs=3)

    bar, height, _ = box_of(page, "[class*=faults] path")
    page.mouse.click(bar + 2, height)
    expect(span).not_to_have_text(said)
    assert box_of(page, brush)[0] == pytest.approx(bar, abs=5)
    page.get_by_role("button", name="Whole session").click()
    expect(span).to_have_text("In the whole session")
    assert figures(page) == whole and "#" not in page.url

    for name, key in (("To", "PageDown"), ("From", "PageUp"), ("From", "ArrowRight")):
        page.get_by_role("slider", name=name).press(key)
    began = page.locator(".reading").inner_text().split(" ")[0]
    assert span.inner_text().startswith(f"From {began} to ") and f"#t={began}-" in page.url
    assert page.get_by_role("slider", name="From").get_attribute("aria-valuetext") == began
    assert box_of(page, brush)[0] > left and box_of(page, brush)[2] < wide
    # Neither passes the other.
    page.get_by_role("slider", name="From").press("End")
    ((first, last),) = re.findall(r"From (\S+) to (\S+)", span.inner_text())
    assert first != last
    page.keyboard.press("Escape")
    expect(span).to_have_text("In the whole session")

    page.goto(address)
    page.evaluate(ALL_DRAWN)
    expect(page.locator(".waiting")).to_have_count(0)
    assert (span.inner_text(), figures(page)) == (said, dragged)
    assert box_of(page, brush)[2] == pytest.approx(wide / 4, abs=5)
    # Drawn anew in another size, it shows the same.
    page.set_viewport_size({"width": 390, "height": 740})
    page.wait_for_function("document.querySelector('.picture').dataset.size === 'phone'")
    page.evaluate(ALL_DRAWN)
    assert (span.inner_text(), figures(page)) == (said, dragged)
    assert box_of(page, brush)[2] > 30


def test_the_sentences_of_a_stretch_are_copied(opened, pages):
    page = opened(pages["session"])
    page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    page.get_by_role("button", name="Copy").click()
    expect(page.get_by_role("button", name="Copied")).to_be_visible()
    copied = page.evaluate("navigator.clipboard.readText()")
    assert copied.startswith("In the whole session: ") and "Thimble band was off by " in copied


def test_both_values_are_read_by_keyboard(opened, pages):
    page = opened(pages["session"])
    page.locator(".picture").first.focus()
    page.keyboard.press("PageDown")
    page.keyboard.press("ArrowRight")
    expect(page.locator(".reading")).to_have_text(re.compile("^1:01 · Plain strap "))
