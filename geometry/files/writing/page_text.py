"""Words as a page of HTML may hold them."""

from html import escape

from ...sentences import legible

__all__ = ["clean"]


def clean(text: str) -> str:
    """Return text that a window shows, safe to stand in a page."""
    return escape("".join(c for c in legible(text) if c >= " "))
