import pytest

pytestmark = pytest.mark.slow


def test_types(check):
    check("mypy")
