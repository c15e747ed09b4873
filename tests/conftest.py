"""How many random cases a law is tried on: HYPOTHESIS_PROFILE=dev (30), default (150), landing
(300) or ci (2,000).

No profile sets a deadline: how fast the code runs is the business of tests/bench. The last
two draw the same cases every time, so that a failure there can be had again at home.
"""

import os

from hypothesis import HealthCheck, settings

SLOW_TO_DRAW = [HealthCheck.too_slow, HealthCheck.data_too_large]
settings.register_profile("dev", max_examples=30, deadline=None, suppress_health_check=SLOW_TO_DRAW)
settings.register_profile("default", max_examples=150, deadline=None, suppress_health_check=SLOW_TO_DRAW)
for name, cases in (("landing", 300), ("ci", 2000)):
    settings.register_profile(
        name,
        max_examples=cases,
        deadline=None,
        derandomize=True,
        print_blob=True,
        suppress_health_check=SLOW_TO_DRAW,
    )
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "default"))
