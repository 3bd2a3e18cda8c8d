"""Relations that a drawn shape nearly has, offered and applied."""

from .relations import Kind, Relation
from .suggestions import Suggestion, apply, suggest

__all__ = [
    "Kind",
    "Relation",
    "Suggestion",
    "apply",
    "suggest",
]
