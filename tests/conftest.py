"""Property tests look at the same examples each time: a change fails for what it changed, not by luck.

Whoever hunts for counterexamples runs with HYPOTHESIS_PROFILE=search.
"""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("search", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))
