"""Settings for all tests."""

import os

from hypothesis import HealthCheck, settings

# No test is timed: in a fresh checkout the first waits for hypothesis's tables of letters, seconds on a busy machine.
# The suite draws the same rooms each time, so that a change is judged and not the day's luck; HYPOTHESIS_PROFILE=any
# draws others, and so do slow checks.
KEPT = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("same", derandomize=True, **KEPT)
settings.register_profile("any", **KEPT)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))


def pytest_collection_modifyitems(items):
    """Start the tests of generated rooms first, which take minutes: begun last, one would run alone on one core."""
    items.sort(key=lambda each: "property" not in each.path.parts)
