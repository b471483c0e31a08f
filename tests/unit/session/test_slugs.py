"""Names that can stand in a path."""

import string

from hypothesis import given
from hypothesis import strategies as st

from strapline.ground.slugs import slug, slug_apart

SAFE = set(string.ascii_lowercase + string.digits + "-")


def test_a_name_keeps_what_can_be_kept():
    assert slug("../../Übung №1") == "ubung-no1"
    assert slug("心拍").startswith("x-")
    assert slug("心拍") != slug("脈拍")


@given(st.text(min_size=1))
def test_slugs_are_safe(name):
    for made in (slug(name), slug_apart(name)):
        assert set(made) <= SAFE and 0 < len(made) <= 60
