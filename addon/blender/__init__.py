"""Blender's data as the core's values and the other way; nothing of the job."""
