"""Settings for all tests."""

from hypothesis import HealthCheck, settings

# No test is timed: in a fresh checkout the first waits for hypothesis's tables of letters, seconds on a busy machine.
settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("untimed")
