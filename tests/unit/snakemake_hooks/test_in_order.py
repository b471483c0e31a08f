"""Jobs that are ready are given in order, and otherwise as by a set."""

from hypothesis import given
from hypothesis import strategies as st

from strapline.running.snakemake_hooks.in_order import InOrder

JOBS = st.integers(0, 12)
CHANGES = st.lists(st.tuples(st.sampled_from(["add", "discard"]), JOBS))


@given(st.sets(JOBS), CHANGES, st.sets(JOBS), st.sets(JOBS))
def test_it_is_a_set_that_gives_the_highest_number_first(jobs, changes, more, begun):
    found, expected = InOrder(jobs, int), set(jobs)
    for name, job in changes:
        getattr(found, name)(job)
        getattr(expected, name)(job)
    found.update(more)
    expected.update(more)
    found -= begun
    expected -= begun
    assert list(found) == sorted(expected, reverse=True)
    assert len(found) == len(expected) and all((job in found) == (job in expected) for job in more)
    found.clear()
    assert not found and list(found) == []
