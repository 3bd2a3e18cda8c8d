"""Photo to cut parts: the computing core. Pure Python, lengths in mm, never Blender."""
