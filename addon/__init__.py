"""The Blender side: turns scene data into core values, calls the core, shows the answer."""

from .registration import register, unregister

__all__ = ["register", "unregister"]
