"""Photos of one bench made one picture, for mock-ups larger than a photo.

`lying_by_picture` or `lying_by_marks` tell how one photo's bench lies in the other's; `join_photos`
draws both as one, which is traced like any other photo.
"""

from .lying import Lying, lying_by_marks, lying_by_picture
from .mosaic import JoinedPhotos, join_photos

__all__ = ["JoinedPhotos", "Lying", "join_photos", "lying_by_marks", "lying_by_picture"]
