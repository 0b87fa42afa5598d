"""How the property tests draw: the same examples every time, so that a red test stays red."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

# A solver run takes as long as it takes; how many examples a test can afford, it says itself.
settings.register_profile(
    "steady",
    derandomize=True,
    deadline=None,
    database=None,
    max_examples=25,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
# For an evening's search: pytest --hypothesis-profile search
settings.register_profile("search", settings.get_profile("steady"), derandomize=False, max_examples=500)
settings.load_profile("steady")
