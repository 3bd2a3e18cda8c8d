"""Assembly: flat parts posed around the object they must fit."""

from .part import Part

__all__ = ["Part"]
