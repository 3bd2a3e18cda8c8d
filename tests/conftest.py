"""What every ring of tests shares."""

import os

try:
    from hypothesis import settings
except ImportError:
    pass
else:
    # No test may fail because the machine is busy, nor a build by the luck of the draw; at the desk
    # every run tries something new.
    settings.register_profile("desk", deadline=None)
    settings.register_profile("build", derandomize=True, deadline=None)
    settings.load_profile("build" if os.environ.get("CI") else "desk")
