"""How the property tests draw: the same examples every time, so that a red test stays red. Golden texts."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# A solver run takes as long as it takes; how many examples a test can afford, it says itself.
settings.register_profile(
    "steady",
    derandomize=True,
    deadline=None,
    database=None,
    max_examples=25,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
# For an evening's search: pytest --hypothesis-profile search
settings.register_profile("search", settings.get_profile("steady"), derandomize=False, max_examples=500)
settings.load_profile("steady")

GOLDEN = Path(__file__).parent / "golden"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update-golden", action="store_true", help="rewrite the golden texts; then read the diff"
    )


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Hold a text against the file of that name under tests/golden."""

    def check(name: str, text: str) -> None:
        path = GOLDEN / name
        if request.config.getoption("--update-golden"):
            path.write_text(text, encoding="utf-8")
        assert text == path.read_text(encoding="utf-8")

    return check
