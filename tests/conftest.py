"""Settings that all tests share.

Random inputs are the same in every run, so that a failure can be repeated. `DOORCARD_SOAK=1` looks
longer and elsewhere each time.
"""

import os

from hypothesis import HealthCheck, settings

SHARED = {"deadline": None, "suppress_health_check": list(HealthCheck)}

settings.register_profile("fixed", derandomize=True, database=None, max_examples=30, **SHARED)
settings.register_profile("soak", max_examples=10_000, **SHARED)
settings.load_profile("soak" if os.environ.get("DOORCARD_SOAK") == "1" else "fixed")
