"""What every ring of tests shares."""

import os

try:
    from hypothesis import settings
except ImportError:
    pass
else:
    # A build must not fail by the luck of the draw; at the desk every run tries something new.
    settings.register_profile("build", derandomize=True, deadline=None)
    if os.environ.get("CI"):
        settings.load_profile("build")
