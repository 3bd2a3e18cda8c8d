"""README's and manual's pictures of the window, taken from a real one while the demo is done.

Once in every language of the manual.

Run it as ``python scripts/storyboard.py`` where a windowed Blender is on PATH or named in BLENDER.
It needs Xvfb or a display of X.
"""

import io
import os
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from environment import ensure_environment  # noqa: E402

if __name__ == "__main__":
    ensure_environment("demo")
sys.path.insert(0, str(HERE.parent / "tests" / "window"))

import harness  # noqa: E402
import manual  # noqa: E402
from build_extension import build_for_this_platform  # noqa: E402
from PIL import Image, ImageDraw, ImageFont  # noqa: E402

PICTURES = HERE / "demo" / "pictures"
MANUAL = HERE.parent / "addon" / "guide" / "manual" / "pictures"
FRAMES = {
    "photo": "The photo",
    "bench": "The bench, at true scale",
    "outline": "The outline, symmetric",
    "part": "The part, in its material",
    "ribs": "Standing around the globe",
    "assembly": "Slotted together, gaps measured",
    "sheets": "Laid out on the sheet",
    "check": "Checked before cutting",
}
IN_MANUAL = ("window", "photo", "bench", "outline", "part", "assembly", "sheets", "check")
"""Those that a page of the manual shows."""
WINDOW_PX = (1280, 880)
ACROSS, FRAME_WIDTH_PX, BETWEEN_PX, CAPTION_PX = 2, 800, 16, 40
LARGEST_BYTES, LARGEST_TRANSLATED_BYTES = 300_000, 140_000
"""The second language's pictures are of the same things, and the zip is not to grow by 3 MB."""


def main() -> None:
    """Play the job in a window, then write both pictures."""
    blender = harness.find_blender()
    if blender is None:
        raise SystemExit("No windowed Blender was found: put one on PATH or name it in BLENDER.")
    harness.SIZE = WINDOW_PX
    pictures = {}
    try:
        with tempfile.TemporaryDirectory() as folder, harness.display() as screen:
            resources = Path(folder) / "resources"
            harness.install(blender, build_for_this_platform(), resources)
            scenario = Path(harness.__file__).with_name("scenario_storyboard.py")
            for language in manual.LANGUAGES:
                os.environ["STORYBOARD_LANGUAGE"] = language
                out = HERE / "demo" / "out" / f"window {language}"
                found = harness.play(blender, screen, resources, scenario, out, size=WINDOW_PX)
                pictures[language] = found.pictures
    except RuntimeError as error:
        raise SystemExit(str(error)) from None
    with Image.open(pictures["en"]["window"]) as window:
        save(window.convert("RGB"), PICTURES / "window.jpg")
    save(compose(pictures["en"]), PICTURES / "storyboard.jpg")
    for language, taken in pictures.items():
        is_english = language == "en"
        folder = MANUAL if is_english else MANUAL / language
        folder.mkdir(exist_ok=True)
        for name in IN_MANUAL:
            with Image.open(taken[name]) as frame:
                most = LARGEST_BYTES if is_english else LARGEST_TRANSLATED_BYTES
                save(frame.convert("RGB"), folder / f"{name}.jpg", most)


def compose(pictures: dict[str, Path]) -> Image.Image:
    """Set the frames side by side in reading order, each under its number and its words."""
    height = FRAME_WIDTH_PX * WINDOW_PX[1] // WINDOW_PX[0]
    down = -(-len(FRAMES) // ACROSS)
    size = (
        ACROSS * FRAME_WIDTH_PX + (ACROSS + 1) * BETWEEN_PX,
        down * (height + CAPTION_PX + BETWEEN_PX) + BETWEEN_PX,
    )
    board = Image.new("RGB", size, "white")
    draw = ImageDraw.Draw(board)
    font = ImageFont.load_default(CAPTION_PX * 0.6)
    for number, (name, words) in enumerate(FRAMES.items()):
        row, column = divmod(number, ACROSS)
        x = BETWEEN_PX + column * (FRAME_WIDTH_PX + BETWEEN_PX)
        y = BETWEEN_PX + row * (height + CAPTION_PX + BETWEEN_PX)
        draw.text((x, y), f"{number + 1}   {words}", fill="black", font=font)
        with Image.open(pictures[name]) as frame:
            small = frame.convert("RGB").resize((FRAME_WIDTH_PX, height), Image.Resampling.LANCZOS)
        board.paste(small, (x, y + CAPTION_PX))
    return board


def save(picture: Image.Image, path: Path, most: int | None = None) -> None:
    """Write a JPEG as good as the largest size allows.

    Raises
    ------
    SystemExit
        If even a poor one is too large.
    """
    most = most or LARGEST_BYTES
    for quality in range(90, 30, -5):
        written = io.BytesIO()
        picture.save(written, "JPEG", quality=quality, optimize=True)
        if written.tell() <= most:
            path.write_bytes(written.getvalue())
            print(f"{path.name}: {written.tell() // 1000} kB")
            return
    raise SystemExit(f"{path.name} cannot be made smaller than {most // 1000} kB.")


if __name__ == "__main__":
    main()
