"""Relations that a drawn shape nearly has, offered and applied."""

from .relations import Relation
from .suggestions import Suggestion, apply, suggest

__all__ = [
    "Relation",
    "Suggestion",
    "apply",
    "suggest",
]
