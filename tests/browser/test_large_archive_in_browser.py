"""An archive of hundreds of sessions, and names as long as they may be."""

import pytest

from browser.conftest import ALL_DRAWN, NEXT_FRAME, WIDTHS
from browser.invented_archive import UNBROKEN, Names, write_report

MEGABYTE = 10**6


@pytest.fixture(scope="module")
def large(tmp_path_factory):
    return write_report(tmp_path_factory.mktemp("large"), 300, Names())


@pytest.fixture(scope="module")
def unbroken(tmp_path_factory):
    return write_report(tmp_path_factory.mktemp("unbroken"), 14, UNBROKEN)


def test_no_page_of_a_large_archive_is_heavy(large):
    assert all(path.stat().st_size < MEGABYTE for path in large)


def test_a_large_archive_is_searched_at_once(opened, large):
    page = opened(large[1])
    rows = page.locator("table[data-search] tbody tr")
    assert rows.count() == 300
    page.get_by_label("Find a session").fill("2024-05 ada")
    shown = rows.filter(visible=True)
    assert 0 < shown.count() < 300
    assert all("2024-05" in text for text in shown.all_inner_texts())


def test_the_longest_names_push_nothing_out_of_the_page(opened, unbroken):
    for path in unbroken:
        page = opened(path, WIDTHS[0])
        page.locator("details").evaluate_all("all => all.forEach(one => { one.open = true })")
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            page.evaluate(NEXT_FRAME)
            page.evaluate(ALL_DRAWN)
            wide = page.evaluate("document.scrollingElement.scrollWidth")
            assert wide <= width, (path.name, width)
            if width < 640:
                tables = page.locator(".wide:not(.picture)")
                sideways = "all => all.filter(e => e.scrollWidth > e.clientWidth + 1).length"
                assert tables.evaluate_all(sideways) == 0, path.name
