"""An archive of hundreds of sessions, and names as long as they may be."""

import pytest

from browser.conftest import WIDTHS
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


@pytest.mark.parametrize("width", WIDTHS)
def test_the_longest_names_push_nothing_out_of_the_page(opened, unbroken, width):
    for path in unbroken:
        page = opened(path, width)
        for details in page.locator("details").all():
            details.evaluate("element => { element.open = true }")
        assert page.evaluate("document.scrollingElement.scrollWidth") <= width, path.name
        if width < 640:
            tables = page.locator(".wide:not(.picture)")
            sideways = "all => all.filter(e => e.scrollWidth > e.clientWidth + 1).length"
            assert tables.evaluate_all(sideways) == 0, path.name
