"""Storms: whatever is done, the verdict is that of a scene built anew from the same data.

Seeded steps with undo, redo, saving, opening, hiding, excluding, renaming, linking, duplicating.
After each of them a second Blender opens the same data, knows nothing from before, and must say the
same; and whatever is called current must come out the same when it is made again there.
"""

import bpy
import pytest

from tests.blender.scene_anew import Anew, told
from tests.blender.storm import Storm
from tests.blender.verdict_scene import MM, Job

pytestmark = pytest.mark.blender

STEPS, LONG = 25, 300


@pytest.fixture(scope="module")
def anew(package):
    """A second Blender that is asked after every step."""
    second = Anew(package)
    yield second
    second.end()


def differences(here, there):
    """What is told here and not there, result by result, and the objections of either alone."""
    (states, said), (other_states, other_said) = here, there
    found = [(r, states[r], other_states[r]) for r in states if states[r] != other_states[r]]
    return found + [one for one in said + other_said if (one in said) != (one in other_said)]


@pytest.mark.parametrize("seed", [1, 2])
def test_the_verdict_is_that_of_a_scene_built_anew(
    package, plate, tmp_path, seed, request, anew, monkeypatch
):
    job = Job(package, plate)
    twin = job.plate("Twin", 40.0, 30.0)
    twin.data.name = "One name for all"
    bpy.ops.wm.save_as_mainfile(filepath=str(tmp_path / "library.blend"))
    bpy.ops.wm.read_homefile(use_empty=True, use_factory_startup=True)
    aside = bpy.data.collections.new("Aside")
    bpy.context.scene.collection.children.link(aside)
    job.crossing()
    job.ball(radius_mm=20.0).location.z = 60.0 * MM
    job.measured()
    job.follow()
    storm = Storm(job, tmp_path, seed)
    bpy.ops.ed.undo_push(message="begin")
    # As in a window, what is known is kept until Blender tells of a change.
    monkeypatch.setattr(job.core("addon.state.cache"), "is_drawn", lambda: True)
    steps = LONG if request.config.getoption("--long") else STEPS
    for _ in range(steps):
        storm.step()
        now = told(job.core)
        there, wrong = anew(storm.as_saved())
        assert differences(now, there) == [], storm.done
        assert wrong == [], storm.done
