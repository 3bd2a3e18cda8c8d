"""Photo: pictures read upright, with what the camera wrote about itself.

Examples
--------
>>> from pathlib import Path
>>> from tempfile import TemporaryDirectory
>>> import numpy as np
>>> from geometry.photo import encode_jpeg, read_photo
>>> with TemporaryDirectory() as folder:
...     path = Path(folder) / "mock-up.jpg"
...     _ = path.write_bytes(encode_jpeg(np.full((480, 640, 3), 200, dtype=np.uint8)))
...     photo = read_photo(path)
>>> photo.size_px, photo.focal_35mm
((640, 480), None)
"""

from .encode import encode_jpeg
from .reading import Photo, read_photo

__all__ = ["Photo", "encode_jpeg", "read_photo"]
