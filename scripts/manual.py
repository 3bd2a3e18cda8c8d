"""The manual's pages as HTML, each whole in itself: a browser shows them from any folder.

English pages lie in the folder itself, those of another language in a folder of its name below it.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from markdown import Markdown

__all__ = ["LANGUAGES", "PAGES", "SOURCE", "write_manual"]

SOURCE = Path(__file__).resolve().parents[1] / "addon" / "guide" / "manual"
PAGES = (
    "index", "photo", "bench", "outline", "part", "assembly", "sheet", "files", "command-line",
    "cautions",
)  # fmt: skip
"""In the order of the job; `index` first."""
LANGUAGES = ("en", "de")
"""English first; of every other one there is a folder with the same pages."""

TEMPLATE = """<!doctype html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>
:root {{ color-scheme: light dark; }}
body {{ font: 17px/1.55 system-ui, sans-serif; margin: 0 auto; max-width: 46rem; padding: 1rem; }}
nav {{ border-bottom: 1px solid #8888; display: flex; flex-wrap: wrap; gap: .2rem 1rem;
  padding-bottom: .6rem; }}
nav a {{ text-decoration: none; }}
nav b {{ font-weight: 600; }}
h1 {{ font-size: 1.8rem; }}
h2 {{ font-size: 1.25rem; margin-top: 2rem; }}
img {{ max-width: 100%; height: auto; border: 1px solid #8884; }}
table {{ border-collapse: collapse; }}
td, th {{ border: 1px solid #8886; padding: .3rem .6rem; text-align: left; vertical-align: top; }}
pre {{ background: #8882; overflow-x: auto; padding: .6rem; }}
</style>
</head>
<body>
<nav>{links}</nav>
{body}
</body>
</html>
"""


def write_manual(folder: Path) -> list[Path]:
    """Write the pages of every language and their pictures into ``folder``; return their paths.

    Raises
    ------
    SystemExit
        If a page links to a page or shows a picture that is not there.
    """
    folder.mkdir(parents=True, exist_ok=True)
    shutil.copytree(SOURCE / "pictures", folder / "pictures", dirs_exist_ok=True)
    return [path for language in LANGUAGES for path in _write_language(folder, language)]


def _write_language(folder: Path, language: str) -> list[Path]:
    is_english = language == LANGUAGES[0]
    source, target = (SOURCE, folder) if is_english else (SOURCE / language, folder / language)
    target.mkdir(exist_ok=True)
    texts = {page: (source / f"{page}.md").read_text(encoding="utf-8") for page in PAGES}
    titles = {page: text.splitlines()[0].lstrip("# ") for page, text in texts.items()}
    written = []
    for page, text in texts.items():
        body = Markdown(extensions=["tables", "toc", "sane_lists"]).convert(text)
        if not is_english:
            body = body.replace('src="pictures/', 'src="../pictures/')
        _check_links(page, body, target)
        links = "".join(
            f"<b>{titles[other]}</b>" if other == page else f'<a href="{other}.html">{title}</a>'
            for other, title in titles.items()
        )
        path = target / f"{page}.html"
        whole = TEMPLATE.format(language=language, title=titles[page], links=links, body=body)
        path.write_text(whole, "utf-8")
        written.append(path)
    return written


def _check_links(page: str, body: str, folder: Path) -> None:
    for target in re.findall(r'(?:href|src)="([^"#]+)', body):
        known = target.removesuffix(".html") in PAGES or (folder / target).is_file()
        if not known:
            raise SystemExit(f"The manual's page {page} names {target}, which is not there.")
