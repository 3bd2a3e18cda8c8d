"""The manual's pages: whole, linked, in the window's own words; a release's text."""

import re
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "scripts"))

import manual  # noqa: E402
import release  # noqa: E402

BLENDERS_OWN = {"G", "N", "R", "+", "?"}
"""Keys and signs, not labels."""
MOST_PICTURES_MB = 3.0


def labels(language="en"):
    """Every word of the window: English is what the German is looked up by."""
    table = tomllib.loads((ROOT / "addon/locale/de/labels.toml").read_text("utf-8"))
    words = {en: de for room in table.values() for en, de in room.items()}
    return set(words) if language == "en" else set(words.values())


def source(page, language):
    return manual.SOURCE / ("" if language == "en" else language) / f"{page}.md"


def test_every_page_is_made_in_every_language_and_links_to_what_is_there(tmp_path):
    pages = manual.write_manual(tmp_path)
    assert [page.stem for page in pages] == list(manual.PAGES) * len(manual.LANGUAGES)
    for language in manual.LANGUAGES:
        folder = source("index", language).parent
        assert {path.stem for path in folder.glob("*.md")} == set(manual.PAGES)
    for page in pages:
        text = page.read_text("utf-8")
        assert "<h1" in text
        assert f'lang="{page.parent.name if page.parent.name == "de" else "en"}"' in text
        assert "http" not in re.sub(r"<!doctype.*", "", text)
        if page.stem not in ("cautions", "command-line"):
            assert "<img" in text


def test_pictures_are_small_enough_to_be_shipped():
    pictures = (manual.SOURCE / "pictures").rglob("*.*")
    assert sum(path.stat().st_size for path in pictures) < MOST_PICTURES_MB * 1e6


def test_a_link_to_nothing_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(manual, "PAGES", manual.PAGES[:-1])
    with pytest.raises(SystemExit, match=r"cautions\.html"):
        manual.write_manual(tmp_path)


def bold(text, known):
    """What is printed in bold, taken apart where it is a way through the window."""
    return [
        word.strip() if word.strip() in known else word.strip().rstrip(".:,")
        for found in re.findall(r"\*\*(.+?)\*\*", text, re.S)
        for word in " ".join(found.split()).split("▸")
    ]


WRITTEN = [(page, language) for page in manual.PAGES for language in manual.LANGUAGES]


@pytest.mark.parametrize(("page", "language"), [*WRITTEN, ("README", "en")])
def test_what_is_printed_as_a_label_is_one(page, language):
    path = ROOT / "README.md" if page == "README" else source(page, language)
    text = path.read_text("utf-8").partition("## Cautions")[0]
    known = labels(language) | BLENDERS_OWN
    if page == "cautions":
        return
    # A sentence's first words may be bold too; English labels are written in capitals.
    asked = {
        name
        for name in bold(text, known)
        if language != "en" or all(w[:1].isupper() for w in name.split() if len(w) > 4)
    }
    assert sorted(asked - known - SAID_LOUD) == []


SAID_LOUD = {"Dem Raster wird geglaubt"}
"""In bold, and no label."""


@pytest.mark.parametrize("page", [page for page in manual.PAGES if page != "cautions"])
def test_both_languages_tell_of_the_same_buttons(page):
    table = tomllib.loads((ROOT / "addon/locale/de/labels.toml").read_text("utf-8"))
    german = {en: de for room in table.values() for en, de in room.items()}
    said = {
        language: {*bold(source(page, language).read_text("utf-8"), labels(language))}
        for language in manual.LANGUAGES
    }
    wanted = {german[label] for label in said["en"] & set(german)}
    assert wanted - said["de"] == set()
    headings = [
        len(re.findall("^#", source(page, language).read_text("utf-8"), re.M))
        for language in manual.LANGUAGES
    ]
    assert headings[0] == headings[1]


def test_cautions_are_whole_in_both_places():
    cautions = (manual.SOURCE / "cautions.md").read_text("utf-8").partition("\n\n")[2].strip()
    assert cautions in (ROOT / "README.md").read_text("utf-8")


def test_a_release_says_what_it_is_what_is_new_and_what_must_be_read():
    readme = (ROOT / "README.md").read_text("utf-8")
    text = release.release_text(readme, "0.1.0")
    for wanted in ("Flatwright is a Blender add-on", "Never leave a cutter", "GPL-3.0", "is yours"):
        assert wanted in text
    with pytest.raises(SystemExit, match=r"9\.9"):
        release.release_text(readme, "9.9")


def test_checksums_are_read_by_the_usual_tool(tmp_path):
    (tmp_path / "a.zip").write_bytes(b"abc")
    # FIPS 180-4's own example: the hash of "abc".
    assert release.checksums([tmp_path / "a.zip"]) == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad  a.zip\n"
    )
