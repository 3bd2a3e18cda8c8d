"""What is known of the bench in a photo."""

import bpy
from bpy.props import FloatProperty, IntProperty, StringProperty

from ..bridge.units import length_property

__all__ = ["FLATWRIGHT_PG_bench"]


class FLATWRIGHT_PG_bench(bpy.types.PropertyGroup):
    """The reference people named and the bench found from it."""

    pitch_mm: FloatProperty(default=10.0, min=0.1)
    pitch: length_property(
        "pitch_mm", name="Grid Pitch", description="Distance between the finest full grid lines"
    )
    face_height_mm: FloatProperty(default=5.0, min=0.0)
    face_height: length_property(
        "face_height_mm",
        name="Mock-up",
        description="Thickness of the mock-up: how high its top face lies above the mat. "
        "A face nearer to the camera looks larger; this corrects it",
    )
    record: StringProperty(description="The bench, for the computing core")
    straightened_height_mm: FloatProperty()
    tilt_deg: FloatProperty()
    rms_px: FloatProperty()
    nodes_used: IntProperty()
    doubt_per_100_mm: FloatProperty()
    warnings: StringProperty()
