"""The only code that knows both worlds: Blender's data and the core's values."""
