"""Pictures come in upright, in colour, with their focal length, or with a sentence why not."""

import os

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from geometry.errors import PhotoError
from geometry.photo import decoding, encode_jpeg, read_photo

ORIENTATION, EXIF_BLOCK = 0x0112, 0x8769


def save(picture, path, **options):
    """Save a picture; HEIC by its own library, which Pillow is not told of."""
    if path.suffix == ".heic":
        pillow_heif.from_pillow(picture).save(path, **options)
    else:
        picture.save(path, **options)


def corner_picture():
    """40 × 24 with a red, a green, a blue and a white corner: no two turns look alike."""
    pixels = np.zeros((24, 40, 3), dtype=np.uint8)
    pixels[:12, :20], pixels[:12, 20:] = (255, 0, 0), (0, 255, 0)
    pixels[12:, :20], pixels[12:, 20:] = (0, 0, 255), (255, 255, 255)
    return pixels


# How the stored picture must be turned to stand upright (Exif 2.3, tag 274; from memory).
UPRIGHT = {
    1: lambda p: p,
    2: lambda p: p[:, ::-1],
    3: lambda p: p[::-1, ::-1],
    4: lambda p: p[::-1],
    5: lambda p: p.transpose(1, 0, 2),
    6: lambda p: np.rot90(p, -1),
    7: lambda p: p[::-1, ::-1].transpose(1, 0, 2),
    8: lambda p: np.rot90(p, 1),
}


@pytest.mark.parametrize("value", range(1, 9))
def test_eight_orientations_come_upright(tmp_path, value):
    exif = Image.Exif()
    exif[ORIENTATION] = value
    path = tmp_path / "a.png"
    Image.fromarray(corner_picture()).save(path, exif=exif)
    photo = read_photo(path)
    expected = UPRIGHT[value](corner_picture())
    np.testing.assert_array_equal(photo.pixels, expected)
    assert photo.size_px == (expected.shape[1], expected.shape[0])


@pytest.mark.parametrize("value", [None, 0])
def test_missing_and_zero_orientation_mean_as_stored(tmp_path, value):
    exif = Image.Exif()
    if value is not None:
        exif[ORIENTATION] = value
    path = tmp_path / "a.png"
    Image.fromarray(corner_picture()).save(path, exif=exif)
    np.testing.assert_array_equal(read_photo(path).pixels, corner_picture())


def test_focal_length_as_written(tmp_path):
    exif = Image.Exif()
    exif.get_ifd(EXIF_BLOCK)[41989] = 26
    path = tmp_path / "a.jpg"
    Image.fromarray(corner_picture()).save(path, exif=exif)
    assert read_photo(path).focal_35mm == 26.0


def test_focal_length_from_the_sensors_resolution(tmp_path):
    # 40 × 24 px at 400 px per cm: a sensor of 1.0 × 0.6 mm, diagonal 1.16619 mm; 0.7 mm on it is
    # 0.7 · 43.26662 / 1.16619 = 25.9706 mm on 36 × 24 mm.
    exif = Image.Exif()
    block = exif.get_ifd(EXIF_BLOCK)
    block[37386], block[41486], block[41487], block[41488] = 0.7, 400.0, 400.0, 3
    path = tmp_path / "a.jpg"
    Image.fromarray(corner_picture()).save(path, exif=exif)
    assert read_photo(path).focal_35mm == pytest.approx(25.9706, abs=1e-3)


@pytest.mark.parametrize(
    ("original", "focal_35mm"),
    [
        ((4000, 3000), 26.0),  # Made smaller.
        ((3000, 4000), 26.0),  # And turned.
        ((4000, 2250), None),  # Cropped.
        ((400, 300), 26.0),  # As it is.
        ((0, 0), 26.0),
        ((9, 7), 26.0),
        ((2**31, 3), 26.0),
        ((-5, 300), 26.0),
    ],
)
def test_a_focal_length_goes_with_the_picture_as_the_camera_made_it(tmp_path, original, focal_35mm):
    exif = Image.Exif()
    block = exif.get_ifd(EXIF_BLOCK)
    block[41989], block[40962], block[40963] = 26, *original
    Image.new("RGB", (400, 300)).save(tmp_path / "a.jpg", exif=exif)
    assert read_photo(tmp_path / "a.jpg").focal_35mm == focal_35mm


def test_a_sensor_is_as_large_though_its_picture_was_made_smaller(tmp_path):
    exif = Image.Exif()
    block = exif.get_ifd(EXIF_BLOCK)
    # 4000 px at 4000 px to a centimetre: 10 x 7.5 mm, a diagonal of 12.5 mm.
    block[37386], block[41486], block[41487], block[41488] = 5.0, 4000.0, 4000.0, 3
    block[40962], block[40963] = 4000, 3000
    Image.new("RGB", (400, 300)).save(tmp_path / "a.jpg", exif=exif)
    expected = 5.0 * (36.0**2 + 24.0**2) ** 0.5 / 12.5
    assert read_photo(tmp_path / "a.jpg").focal_35mm == pytest.approx(expected, abs=1e-3)


def test_no_focal_length_is_none(tmp_path):
    path = tmp_path / "a.jpg"
    Image.fromarray(corner_picture()).save(path)
    assert read_photo(path).focal_35mm is None


def test_grey_sixteen_bit_and_transparent_become_colour(tmp_path):
    grey = np.tile(np.array([0, 100, 255, 7], dtype=np.uint8), (20, 5))
    Image.fromarray(grey).save(tmp_path / "grey.png")
    Image.fromarray(grey.astype(np.uint16) * 257).save(tmp_path / "deep.png")
    clear = np.zeros((20, 20, 4), dtype=np.uint8)
    clear[:, 10:] = (10, 20, 30, 255)
    Image.fromarray(clear).save(tmp_path / "clear.png")
    for name in ("grey.png", "deep.png"):
        pixels = read_photo(tmp_path / name).pixels
        np.testing.assert_array_equal(pixels, np.repeat(grey[..., None], 3, axis=2))
    pixels = read_photo(tmp_path / "clear.png").pixels
    assert (pixels[:, :10] == 255).all()
    assert (pixels[:, 10:] == (10, 20, 30)).all()


def test_print_colours_become_light_colours(tmp_path):
    ink = Image.new("CMYK", (20, 20), (0, 255, 255, 0))
    ink.save(tmp_path / "a.tif")
    red, green, blue = read_photo(tmp_path / "a.tif").pixels[10, 10]
    assert red > 200
    assert green < 60
    assert blue < 60


def test_a_heic_turned_by_its_own_box_comes_upright_once(tmp_path):
    pixels = np.zeros((200, 320, 3), dtype=np.uint8)
    pixels[:100, :160] = 255
    exif = Image.Exif()
    exif[274] = 6  # shown turned a quarter clockwise (CIPA DC-008)
    save(Image.fromarray(pixels), tmp_path / "a.heic", quality=95, exif=exif.tobytes())
    assert b"irot" in (tmp_path / "a.heic").read_bytes()
    upright = read_photo(tmp_path / "a.heic").pixels
    assert upright.shape == (320, 200, 3)
    white = upright[80::160, 50::100, 0] > 128
    assert white.tolist() == [[False, True], [False, False]]


def test_heic_reads_like_any_other(tmp_path):
    pixels = np.full((64, 96, 3), 120, dtype=np.uint8)
    save(Image.fromarray(pixels), tmp_path / "a.heic", quality=95)
    photo = read_photo(tmp_path / "a.heic")
    assert photo.size_px == (96, 64)
    assert np.abs(photo.pixels.astype(int) - 120).max() <= 3


def test_what_cannot_be_read_says_so_by_name(tmp_path):
    rng = np.random.default_rng(3)
    noise = rng.integers(0, 255, (200, 200, 3), dtype=np.uint8)
    whole = encode_jpeg(noise)
    (tmp_path / "short.jpg").write_bytes(whole[: len(whole) // 3])
    (tmp_path / "empty.jpg").write_bytes(b"")
    (tmp_path / "words.jpg").write_bytes(b"this is no picture at all")
    frames = [Image.new("L", (32, 32), shade) for shade in (0, 90, 200)]
    frames[0].save(tmp_path / "moving.gif", save_all=True, append_images=frames[1:])
    (tmp_path / "folder").mkdir()
    for name in ("short.jpg", "empty.jpg", "words.jpg", "moving.gif", "folder", "missing.jpg"):
        with pytest.raises(PhotoError) as caught:
            read_photo(tmp_path / name)
        assert name in str(caught.value)
        assert str(caught.value).endswith(".")


def test_picture_too_large_is_refused_before_it_is_unpacked(tmp_path):
    path = tmp_path / "vast.png"
    Image.new("1", (21_000, 10_000)).save(path)
    with pytest.raises(PhotoError, match="smaller picture"):
        read_photo(path)


def test_encoded_picture_reads_back_nearly_the_same(tmp_path):
    y, x = np.mgrid[0:64, 0:96]
    pixels = np.stack((x * 2, y * 3, 128 + 0 * x), axis=-1).astype(np.uint8)
    (tmp_path / "a.jpg").write_bytes(encode_jpeg(pixels))
    back = read_photo(tmp_path / "a.jpg").pixels
    assert np.abs(back.astype(int) - pixels).mean() < 2.0


def smooth_picture():
    """96 × 64 whose colours change slowly, so that lossy files keep them."""
    y, x = np.mgrid[0:64, 0:96]
    return np.stack((40 + x, 60 + 2 * y, 128 + 0 * x), axis=-1).astype(np.uint8)


@pytest.mark.parametrize(
    ("name", "options", "most"),
    [
        ("a.jpg", {"quality": 95}, 8),
        ("a.png", {}, 0),
        ("a.tif", {}, 0),
        ("b.tif", {"compression": "tiff_lzw"}, 0),
        ("a.webp", {"lossless": True}, 0),
        ("b.webp", {"quality": 95}, 12),
    ],
)
def test_every_kind_of_file_gives_the_same_picture(tmp_path, name, options, most):
    Image.fromarray(smooth_picture()).save(tmp_path / name, **options)
    pixels = read_photo(tmp_path / name).pixels
    assert np.abs(pixels.astype(int) - smooth_picture()).max() <= most


def test_sixteen_bit_tiff_and_print_jpeg_keep_their_shades(tmp_path):
    grey = np.tile(np.linspace(0, 65535, 40).astype(np.uint16), (20, 1))
    Image.fromarray(grey).save(tmp_path / "deep.tif")
    pixels = read_photo(tmp_path / "deep.tif").pixels
    assert np.abs(pixels[0, :, 0] - grey[0] / 257.0).max() <= 0.51
    Image.new("CMYK", (32, 32), (255, 0, 0, 0)).save(tmp_path / "cyan.jpg", quality=95)
    red, green, blue = read_photo(tmp_path / "cyan.jpg").pixels[16, 16]
    assert red < 60
    assert min(green, blue) > 150


def test_the_written_focal_length_goes_before_the_sensors(tmp_path):
    exif = Image.Exif()
    block = exif.get_ifd(EXIF_BLOCK)
    block[37386], block[41486], block[41487], block[41488] = 0.7, 400.0, 400.0, 3
    block[41989] = 28
    Image.fromarray(corner_picture()).save(tmp_path / "a.jpg", exif=exif)
    assert read_photo(tmp_path / "a.jpg").focal_35mm == 28.0


@pytest.mark.parametrize("name", ["a.webp", "a.png"])
def test_moving_pictures_are_named_as_such(tmp_path, name):
    frames = [Image.new("RGB", (32, 32), (shade, 0, 0)) for shade in (0, 90, 200)]
    frames[0].save(tmp_path / name, save_all=True, append_images=frames[1:], duration=100)
    with pytest.raises(PhotoError, match="animation"):
        read_photo(tmp_path / name)


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif", "a.webp", "a.heic"])
@pytest.mark.parametrize("share", [0.02, 0.5])
def test_files_cut_short_are_refused_whatever_their_kind(tmp_path, name, share):
    rng = np.random.default_rng(3)
    noise = rng.integers(0, 255, (120, 120, 3), dtype=np.uint8)
    save(Image.fromarray(noise), tmp_path / name)
    whole = (tmp_path / name).read_bytes()
    (tmp_path / name).write_bytes(whole[: int(share * len(whole))])
    with pytest.raises(PhotoError, match=name):
        read_photo(tmp_path / name)


@pytest.mark.skipif(os.name != "posix", reason="the trap is a script")
@pytest.mark.parametrize("name", ["a.jpg", "a.eps", "a.png"])
def test_no_picture_reaches_a_program(tmp_path, monkeypatch, name):
    (tmp_path / name).write_bytes(
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 64 64\n%%EndComments\nshowpage\n%%EOF\n"
    )
    for program in ("gs", "gswin64c", "djpeg", "convert"):
        trap = tmp_path / program
        trap.write_text(f"#!/bin/sh\ntouch {tmp_path / 'sprung'}\n")
        trap.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=os.pathsep)
    with pytest.raises(PhotoError, match="Use a JPEG, PNG, TIFF, WebP or HEIC photo"):
        read_photo(tmp_path / name)
    assert not (tmp_path / "sprung").exists()


@pytest.mark.parametrize("kind", ["GIF", "BMP", "AVIF", "PPM", "ICO", "TGA", "JPEG2000", "PCX"])
def test_other_pictures_are_refused_whatever_they_are_called(tmp_path, kind):
    path = tmp_path / "a.jpg"
    with path.open("wb") as file:
        Image.fromarray(corner_picture()).save(file, kind)
    with pytest.raises(PhotoError, match=r"“a\.jpg” is no picture that can be read here"):
        read_photo(path)


@pytest.mark.parametrize("name", ["a.png", "a.tif", "a.webp", "a.heic", "a.jpg"])
def test_the_content_counts_and_not_the_name(tmp_path, name):
    save(Image.fromarray(smooth_picture()), tmp_path / name)
    (tmp_path / name).rename(tmp_path / "b.gif")
    assert read_photo(tmp_path / "b.gif").size_px == (96, 64)


def test_a_jpeg_of_several_pictures_gives_its_first(tmp_path):
    first, second = Image.new("RGB", (64, 48), "red"), Image.new("RGB", (64, 48), "blue")
    first.save(tmp_path / "a.jpg", "MPO", save_all=True, append_images=[second])
    assert read_photo(tmp_path / "a.jpg").pixels[20, 20, 0] > 200


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system knows no such files")
def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "a.jpg")
    with pytest.raises(PhotoError, match="pipe or a device"):
        read_photo(tmp_path / "a.jpg")


@pytest.mark.parametrize("name", ["a" * 400 + ".jpg", "a\0.jpg", "none/a.jpg", ""])
def test_names_that_no_file_has(tmp_path, name):
    with pytest.raises(PhotoError) as caught:
        read_photo(tmp_path / name)
    assert str(caught.value).endswith(".")
    assert "\0" not in str(caught.value)


@pytest.mark.parametrize(
    ("name", "most"), [("a.jpg", 4), ("a.png", 1), ("a.tif", 1), ("a.heic", 5)]
)
def test_the_largest_pictures_come_reduced_with_their_scale(tmp_path, monkeypatch, name, most):
    exif = Image.Exif()
    block = exif.get_ifd(EXIF_BLOCK)
    block[37386], block[41486], block[41487], block[41488] = 0.7, 400.0, 400.0, 3
    picture = Image.fromarray(smooth_picture())
    save(picture, tmp_path / name, exif=exif.tobytes(), quality=95)
    whole = read_photo(tmp_path / name)
    monkeypatch.setattr(decoding, "FULL_PIXELS", 96 * 64 // 2)
    half = read_photo(tmp_path / name)
    assert (whole.reduced, half.reduced) == (1, 2)
    assert half.size_px == (48, 32)
    # Read for marks that were set in all its pixels, it has them all.
    assert read_photo(tmp_path / name, longest_px=96).size_px == (96, 64)
    # The sensor stays as large as it was, and so does the lens.
    assert half.focal_35mm == whole.focal_35mm is not None
    # Each pixel is the mean of four.
    means = smooth_picture().reshape(32, 2, 48, 2, 3).mean(axis=(1, 3))
    assert np.abs(half.pixels - means).max() <= most


def test_what_would_take_too_much_memory_is_refused_before_it_is_decoded(tmp_path, monkeypatch):
    monkeypatch.setattr(decoding, "MOST_BYTES", 150_000)
    picture = Image.fromarray(np.tile(smooth_picture(), (2, 2, 1)))
    picture.save(tmp_path / "a.jpg", quality=95, subsampling=0)
    picture.save(tmp_path / "b.jpg", quality=95, subsampling=0, progressive=True)
    picture.save(tmp_path / "a.webp")
    assert read_photo(tmp_path / "a.jpg").size_px == (192, 128)
    for name in ("b.jpg", "a.webp"):
        with pytest.raises(PhotoError, match=r"192 × 128 pixels\) would take .* GB of memory"):
            read_photo(tmp_path / name)


@pytest.mark.parametrize(
    ("tag", "value", "words"),
    [
        (41985, 6, "panorama"),
        (41985, 8, "portrait mode"),
        (37510, b"ASCII\0\0\0Screenshot", "picture of a screen"),
        (37510, b"UNICODE\0S\0c\0r\0e\0e\0n\0s\0h\0o\0t\0", "picture of a screen"),
    ],
)
def test_what_is_no_plain_photo_by_its_own_words_is_told(tmp_path, tag, value, words):
    exif = Image.Exif()
    exif.get_ifd(EXIF_BLOCK)[tag] = value
    path = tmp_path / "a.jpg"
    Image.fromarray(corner_picture()).save(path, exif=exif)
    assert words in str(read_photo(path).remark)


@pytest.mark.parametrize(("tag", "value"), [(41985, 0), (37510, b"ASCII\0\0\0Tuesday")])
def test_a_plain_photo_is_no_matter(tmp_path, tag, value):
    exif = Image.Exif()
    exif.get_ifd(EXIF_BLOCK)[tag] = value
    path = tmp_path / "a.jpg"
    Image.fromarray(corner_picture()).save(path, exif=exif)
    assert read_photo(path).remark is None
