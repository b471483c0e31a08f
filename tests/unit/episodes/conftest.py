"""A session of one strap and one watch, as intake describes it."""

import pytest

from intakes import recording, session, strap


@pytest.fixture(scope="session")
def intake():
    return session(strap(), recording(label="Watch one"))
