"""A file is written whole or not at all, whatever goes wrong."""

import errno
import os
import stat

import pytest

from geometry.errors import FileError
from geometry.files import drawing, write_dxf, write_svg
from geometry.files.writing.atomic import write_whole
from geometry.outline import Loop, Profile

DISC = drawing([Profile(Loop.circle((0.0, 0.0), 10.0))])
WRITERS = [write_dxf, write_svg]


def accept(path):
    return path.read_bytes()


@pytest.fixture
def old(tmp_path):
    path = tmp_path / "part.dxf"
    path.write_text("old")
    return path


def untouched(path):
    return path.read_text() == "old" and os.listdir(path.parent) == [path.name]


def test_a_new_file_has_the_data_and_usual_rights(tmp_path):
    assert write_whole(tmp_path / "a.dxf", b"data", accept) == b"data"
    assert os.listdir(tmp_path) == ["a.dxf"]
    if os.name == "posix":
        assert stat.S_IMODE((tmp_path / "a.dxf").stat().st_mode) & 0o400


@pytest.mark.parametrize("write", WRITERS)
def test_no_replacing_without_leave(tmp_path, write):
    path = tmp_path / ("a" + {write_dxf: ".dxf", write_svg: ".svg"}[write])
    path.write_text("old")
    with pytest.raises(FileError, match="exists already"):
        write(path, DISC)
    assert untouched(path)


@pytest.mark.parametrize("write", WRITERS)
def test_a_missing_folder(tmp_path, write):
    with pytest.raises(FileError, match=r"folder .* does not exist"):
        write(tmp_path / "nowhere" / f"a.{write.__name__[-3:]}", DISC)
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("write", WRITERS)
def test_a_folder_in_place_of_a_file(tmp_path, write):
    with pytest.raises(FileError, match="is a folder"):
        write(tmp_path, DISC, overwrite=True)


def test_a_failed_check_keeps_the_old_file(old):
    def refuse(path):
        raise FileError("not what was meant")

    with pytest.raises(FileError, match="not what was meant"):
        write_whole(old, b"new", refuse, overwrite=True)
    assert untouched(old)


@pytest.mark.parametrize(
    ("number", "message"),
    [
        (errno.ENOSPC, "disk is full"),
        (errno.EACCES, "no permission"),
        (errno.EROFS, "no permission"),
        (errno.ENAMETOOLONG, "too long"),
        (errno.EIO, "cannot be written"),
    ],
)
@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failing_disk_keeps_the_old_file(old, monkeypatch, number, message, step):
    def fail(*_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("os.fsync" if step == "fsync" else "pathlib.Path.replace", fail)
    with pytest.raises(FileError, match=message):
        write_whole(old, b"new", accept, overwrite=True)
    assert untouched(old)


def test_a_replaced_file_keeps_its_rights(old):
    old.chmod(0o640)
    write_whole(old, b"new", accept, overwrite=True)
    assert old.read_bytes() == b"new"
    if os.name == "posix":
        assert stat.S_IMODE(old.stat().st_mode) == 0o640


@pytest.mark.parametrize("write", WRITERS)
def test_an_ending_that_is_another_kind(tmp_path, write):
    with pytest.raises(FileError, match="has to end in"):
        write(tmp_path / "part.txt", DISC)
    assert os.listdir(tmp_path) == []


def test_a_name_of_nothing():
    with pytest.raises(FileError, match="needs a name"):
        write_whole("", b"new", accept)


def test_a_drawing_that_reads_back_wrong_is_not_kept(old, monkeypatch):
    from geometry.files.writing.rounding import Rounding

    honest = Rounding.length
    monkeypatch.setattr(Rounding, "length", lambda self, v: honest(self, v) * 1.001)
    with pytest.raises(FileError, match="reads back"):
        write_dxf(old, DISC, overwrite=True)
    assert untouched(old)
