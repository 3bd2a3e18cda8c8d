"""Kinds of picture, told by what a file begins with; its name counts for nothing."""

from typing import Literal

__all__ = ["HEAD_BYTES", "KINDS", "Kind", "kind_of"]

Kind = Literal["JPEG", "PNG", "TIFF", "WEBP", "HEIF"]
"""As the one decoder that may look at it is called."""
KINDS = "JPEG, PNG, TIFF, WebP or HEIC"
HEAD_BYTES = 64
"""So much of a file's beginning tells its kind; a HEIC file lists its brands there."""

HEVC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs"}
"""Brands of pictures coded as HEVC (ISO/IEC 23008-12, annex B; from memory)."""


def kind_of(head: bytes) -> Kind | None:
    """Return the kind of picture whose file begins so, or None for all that is not read."""
    if head.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if head.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if head[:4] in (b"II*\0", b"MM\0*", b"II+\0", b"MM\0+"):
        return "TIFF"
    if head[:4] == b"RIFF" and head[8:12] == b"WEBP":
        return "WEBP"
    if head[4:8] == b"ftyp":
        size = min(int.from_bytes(head[:4], "big"), len(head))
        # The leading brand, then (after a version) those the file is compatible with.
        brands = {head[8:12], *(head[at : at + 4] for at in range(16, size - 3, 4))}
        if brands & HEVC_BRANDS:
            return "HEIF"
    return None
