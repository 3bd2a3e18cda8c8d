"""What a file tells of a picture that is no plain photo: put together, worked over, a screen."""

from collections.abc import Mapping

from ..sentences import Sentence

__all__ = ["about_making"]

USER_COMMENT, CUSTOM_RENDERED = 37510, 41985
"""Exif tags (CIPA DC-008, from memory)."""
PANORAMA, PORTRAITS = 6, (7, 8)
"""Values of CustomRendered that phones write beyond the standard's 0 and 1; from memory."""
SCREENSHOT = "screenshot"
"""What phones write as the comment of a picture of their screen; from memory."""


def about_making(notes: Mapping[int, object]) -> Sentence | None:
    """A sentence where lengths in the picture may not be those a lens saw; None for a plain photo.

    ``notes`` are the values of its Exif block by their tags. Only what the file says of itself is
    known: a picture that was edited and tells nothing of it is found out by a grid alone, whose
    perspective then contradicts the focal length.
    """
    rendered = notes.get(CUSTOM_RENDERED)
    if rendered == PANORAMA:
        return Sentence(
            "The file says that it is a panorama: put together from several places, it has no one "
            "scale. Take one plain photo."
        )
    if rendered in PORTRAITS:
        return Sentence(
            "The file says that it was taken in portrait mode, which blurs edges and may move "
            "them. Take it again in the camera's plain mode."
        )
    comment = notes.get(USER_COMMENT)
    words = comment.decode("ascii", "ignore") if isinstance(comment, bytes) else str(comment)
    if SCREENSHOT in words.lower().replace("\0", ""):
        return Sentence(
            "The file says that it is a picture of a screen, with fewer pixels than the photo "
            "shown there and no camera data. Use the photo itself."
        )
    return None
