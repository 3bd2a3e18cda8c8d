"""All files of a job are written, or none."""

import errno
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from geometry.errors import Cancelled, FileError
from geometry.files import Formats, drawing, read_back, save_cut_files
from geometry.files.writing import together as together_module
from geometry.files.writing.atomic import write_whole
from geometry.files.writing.together import write_together
from geometry.outline import rectangle
from geometry.part import Stock
from geometry.sheet import Piece

ROOT = Path(__file__).resolve().parents[2]
PLY = Stock("plywood", 3.0, 0.2)


def job(number=1):
    plate = rectangle(80.0, 60.0)
    drawn = drawing([plate], names=["foot"], title=f"cradle sheet {number}")
    return [(drawn, PLY)], [(PLY, [Piece(plate, 1, "foot")])]


def contents(folder):
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def test_every_kind_is_written_under_its_own_name(tmp_path):
    paths = save_cut_files(tmp_path, *job(), title="cradle", formats=Formats(template=True))
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(p.name for p in paths)
    assert sorted(p.suffix for p in paths) == [".dxf", ".html", ".pdf", ".svg"]


def test_the_cut_list_says_how_every_file_read_back(tmp_path):
    paths = save_cut_files(tmp_path, *job(), title="cradle")
    (page,) = (p for p in paths if p.suffix == ".html")
    text = page.read_text("utf-8")
    for path in paths:
        assert (path.name in text) == (path.suffix != ".html")
    assert "off by at most 0.000000 mm" in text


@pytest.mark.parametrize(
    ("formats", "words"),
    [
        (Formats(dxf=False, svg=False, cut_list=False), "No kind of file"),
        (Formats(hairline_mm=0.0), "line width"),
        (Formats(dxf_version="R9"), "R12"),
        (Formats(template=True, paper="A5"), "A4"),
    ],
)
def test_one_bad_wish_leaves_the_folder_as_it_was(formats, words, tmp_path):
    (tmp_path / "notes.txt").write_text("kept")
    before = contents(tmp_path)
    with pytest.raises(FileError, match=words):
        save_cut_files(tmp_path, *job(), title="cradle", formats=formats)
    assert contents(tmp_path) == before


def test_nothing_is_replaced_unasked_and_all_is_when_asked(tmp_path):
    save_cut_files(tmp_path, *job(), title="cradle")
    for path in tmp_path.iterdir():
        path.write_text("old")
    before = contents(tmp_path)
    with pytest.raises(FileError, match="and 2 more exist already"):
        save_cut_files(tmp_path, *job(), title="cradle")
    assert contents(tmp_path) == before
    save_cut_files(tmp_path, *job(), title="cradle", overwrite=True)
    assert contents(tmp_path).keys() == before.keys()
    assert b"old" not in contents(tmp_path).values()


def test_a_stop_half_way_leaves_nothing(tmp_path):
    def stop(fraction, message):
        if fraction > 0.5:
            raise Cancelled

    with pytest.raises(Cancelled):
        save_cut_files(tmp_path, *job(), title="cradle", progress=stop)
    assert contents(tmp_path) == {}


def test_two_sheets_never_share_a_name(tmp_path):
    sheets, pieces = job()
    twin = (sheets[0][0], Stock("plywood.", 3.0, 0.2))
    with pytest.raises(FileError, match="Two files"):
        save_cut_files(tmp_path, [sheets[0], twin], pieces, title="cradle")
    assert contents(tmp_path) == {}


def test_what_a_killed_export_left_is_swept_a_day_later_and_nothing_else(tmp_path):
    def left(name, hours, mark=True):
        folder = tmp_path / name
        folder.mkdir()
        (folder / "half.dxf").write_text("0")
        if mark:
            (folder / together_module.MARK).write_text(together_module.MARK_TEXT)
        os.utime(folder, (time.time() - 3600 * hours,) * 2)

    left(".writing-old", 25)
    left(".writing-new", 1)
    # A person's own, of the same kind of name, however old.
    left(".writing-thesis", 9999, mark=False)
    save_cut_files(tmp_path, *job(), title="cradle")
    hidden = sorted(p.name for p in tmp_path.iterdir() if p.name.startswith("."))
    assert hidden == [".writing-new", ".writing-thesis"]
    assert (tmp_path / ".writing-thesis" / "half.dxf").read_text() == "0"


TWO_AT_ONCE = """
import sys, time
from pathlib import Path
from geometry.errors import FileError
from geometry.files.writing.atomic import write_whole
from geometry.files.writing.together import write_together
folder, who, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
for number in range(count):
    place = folder / str(number)
    while not (place / "go").exists():
        time.sleep(0.0005)
    try:
        write_together(place, [(f"{n}.txt", lambda p: p.write_text(who)) for n in "abc"])
        print("saved", flush=True)
    except FileError as error:
        print(error, flush=True)
"""


@pytest.mark.parametrize("links", [True, False])
def test_of_two_exports_at_once_into_one_folder_only_one_says_saved(tmp_path, links):
    count = 30
    for number in range(count):
        (tmp_path / str(number)).mkdir()
    without = "import os\ndef none(*_): raise PermissionError\nos.link = none\n"
    program = TWO_AT_ONCE if links else without + TWO_AT_ONCE
    both = [
        subprocess.Popen(
            [sys.executable, "-c", program, str(tmp_path), who, str(count)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
        )
        for who in ("one", "two")
    ]
    for number in range(count):
        time.sleep(0.01)
        (tmp_path / str(number) / "go").touch()
    said = [process.communicate()[0].splitlines() for process in both]
    assert [len(words) for words in said] == [count, count]
    for number, (one, two) in enumerate(zip(*said, strict=True)):
        place = tmp_path / str(number)
        found = {path.name: path.read_text() for path in place.glob("*.txt")}
        assert (one, two).count("saved") <= 1
        if "saved" in (one, two):
            assert found == dict.fromkeys(
                ("a.txt", "b.txt", "c.txt"), "one" if one == "saved" else "two"
            )
        for words in (one, two):
            assert words == "saved" or "hoose another folder or allow replacing" in words
        assert not list(place.glob(".writing-*"))


@pytest.mark.parametrize("overwrite", [False, True])
def test_a_link_that_leads_nowhere_stays(tmp_path, overwrite):
    link = tmp_path / "a.dxf"
    try:
        link.symlink_to(tmp_path / "gone.dxf")
    except OSError:
        return  # Windows lets only some people make links
    with pytest.raises(FileError, match="leads nowhere"):
        write_whole(link, b"new", Path.read_bytes, overwrite=overwrite)
    with pytest.raises(FileError, match="leads nowhere"):
        write_together(tmp_path, [("a.dxf", Path.touch)], overwrite=overwrite)
    assert os.listdir(tmp_path) == ["a.dxf"]
    assert link.is_symlink()


@pytest.mark.parametrize("name", ["a\0b.dxf", "\ud800.dxf", "a" * 300 + ".dxf"])
def test_names_that_no_file_can_have_are_told(tmp_path, name):
    with pytest.raises(FileError, match="name") as caught:
        write_whole(tmp_path / name, b"new", Path.read_bytes)
    assert str(caught.value).isprintable()
    with pytest.raises(FileError, match="name"):
        write_together(tmp_path, [(name, Path.touch)])
    with pytest.raises(FileError):
        write_together(tmp_path / name, [("a.dxf", Path.touch)])
    assert os.listdir(tmp_path) == []


def test_names_of_every_script_are_written_and_read_back(tmp_path):
    folder = tmp_path / "Größe 木 cut"
    folder.mkdir()
    sheets, pieces = job()
    made = drawing([rectangle(80.0, 60.0)], names=["Fuß"], title="Вырез 切 sheet 1")
    paths = save_cut_files(
        folder, [(made, sheets[0][1])], pieces, title="Вырез 切", formats=Formats(template=True)
    )
    for path in paths:
        assert path.is_file()
        if path.suffix in (".dxf", ".svg"):
            assert read_back(path).title == "Вырез 切 sheet 1"


@pytest.mark.parametrize("number", [errno.EROFS, errno.EACCES])
def test_a_folder_that_may_only_be_read_is_told(tmp_path, monkeypatch, number):
    def refuse(*_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr("tempfile.mkdtemp", refuse)
    with pytest.raises(FileError, match=r"no permission.*hoose another folder"):
        save_cut_files(tmp_path, *job(), title="cradle")
    assert contents(tmp_path) == {}


def test_a_full_disk_leaves_the_old_files(tmp_path, monkeypatch):
    save_cut_files(tmp_path, *job(), title="cradle")
    before = contents(tmp_path)

    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(FileError, match="disk is full"):
        save_cut_files(tmp_path, *job(), title="cradle", overwrite=True)
    assert contents(tmp_path) == before


def test_no_sheet_no_folder_and_a_file_for_a_folder_are_told(tmp_path):
    with pytest.raises(FileError, match="Lay out"):
        save_cut_files(tmp_path, [], [], title="cradle")
    with pytest.raises(FileError, match="does not exist"):
        save_cut_files(tmp_path / "nowhere", *job(), title="cradle")
    (tmp_path / "taken").write_text("")
    with pytest.raises(FileError, match="not a folder"):
        save_cut_files(tmp_path / "taken", *job(), title="cradle")


def test_a_move_that_fails_brings_the_old_files_back(tmp_path, monkeypatch):
    for name in ("a.txt", "b.txt"):
        (tmp_path / name).write_text("old")
    real = together_module.Path.replace

    def replace(self, target):
        if self.name == "b.txt":
            raise PermissionError(13, "held open")
        return real(self, target)

    monkeypatch.setattr(together_module.Path, "replace", replace)
    files = [(n, lambda p: p.write_text("new")) for n in ("new.txt", "a.txt", "b.txt")]
    with pytest.raises(FileError, match="holds it open"):
        write_together(tmp_path, files, overwrite=True)
    assert contents(tmp_path) == {"a.txt": b"old", "b.txt": b"old"}


@pytest.mark.parametrize("odd", ["\ufffe", "\ud800", "\x01", "\0", "{0}%s", "]]>&<'\""])
def test_names_hold_only_what_every_file_can(tmp_path, odd):
    name = f"Fuß {odd} 木"
    stock = Stock(name, 3.0, 0.2)
    made = drawing([rectangle(80.0, 60.0)], names=[name], title=name)
    pieces = [(stock, [Piece(rectangle(80.0, 60.0), 1, name)])]
    formats = Formats(template=True)
    paths = save_cut_files(tmp_path, [(made, stock)], pieces, title=name, formats=formats)
    assert sorted(p.suffix for p in paths) == [".dxf", ".html", ".pdf", ".svg"]
    for path in paths:
        if path.suffix in (".dxf", ".svg"):
            assert read_back(path).title == made.title
