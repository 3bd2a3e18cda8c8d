"""Words of the interface as data, and how Blender is asked for them."""
