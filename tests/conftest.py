"""Settings for all tests."""

import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

# No test is timed: in a fresh checkout the first waits for hypothesis's tables of letters, seconds on a busy machine.
# The suite draws the same rooms each time, so that a change is judged and not the day's luck; HYPOTHESIS_PROFILE=any
# draws others, and so do slow checks.
KEPT = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("same", derandomize=True, **KEPT)
settings.register_profile("any", **KEPT)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))


@pytest.fixture(scope="module")
def own_cache(tmp_path_factory):
    """A cache of the module's own, for tests that cut boards as finely as they come: in the one that all tests share
    their hundreds of megabytes would drive out every room's light."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PREVIEW_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


TOGETHER = {
    "browser": (
        *("test_around", "test_choices", "test_customer_page", "test_lasting", "test_looking", "test_models_in_three"),
        "test_parts",
    ),
    "unlike rooms": ("test_quote_words", "test_scope"),
    "traced rooms": ("test_white_trim", "test_against_path_tracer"),
}
"""Files that share what is dear to make: one worker has them all. Of any other file one worker has the whole."""

LONGEST = (
    *("browser", "unlike rooms", "traced rooms", "test_ranking_options", "test_room_light", "test_alone"),
    *("test_check_and_lay", "test_quote", "test_batch", "test_viewpoints", "test_rooms_short", "test_too_much"),
    *("test_taped_rooms", "test_patterns", "test_remedies", "test_layer_reading", "test_daylight", "test_quoted_rooms"),
    *("test_scene_reading", "test_stock", "test_reflection_proxies", "test_scene_edit", "test_colour_spread"),
    *("test_wood_repeat", "test_session", "test_engine", "test_stretches", "test_wood_boards"),
)
"""Those that take longest are begun first: begun last, one would run alone on one core."""


GROUP_OF = {name: group for group, names in TOGETHER.items() for name in names}
PLACE = {name: place for place, name in enumerate(LONGEST)}


def group_of(path):
    """Return what the tests of a file are shared out with: a group of `TOGETHER`, or the file itself."""
    return GROUP_OF.get(path.stem, path.stem)


def pytest_collection_modifyitems(items):
    """Say in which order tests are begun."""
    items.sort(key=lambda each: PLACE.get(group_of(each.path), len(PLACE)))


@pytest.hookimpl(optionalhook=True)  # of pytest-xdist
def pytest_xdist_make_scheduler(config, log):
    """Share out whole groups. By the mark `xdist_group`, xdist 3.8 shares out single tests under pytest 9.2, which no
    longer lets it write into a test's name."""
    from xdist.scheduler import LoadScopeScheduling

    class Groups(LoadScopeScheduling):
        def _split_scope(self, nodeid):
            return group_of(Path(nodeid.partition("::")[0]))

    return Groups(config, log)
