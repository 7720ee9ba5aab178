"""SVG and HTML as PDF and PNG, by the libraries of the optional extra `pictures`."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from matrixmap.cli.main import UsageError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from weasyprint.document import Document

    from matrixmap.model.host import Host

MM_PER_PIXEL = 25.4 / 96
"""A pixel of CSS is 1/96 inch (CSS Values and Units Level 3, section 5.2)."""


def check_suffix(out: Path | None, known: tuple[str, ...]) -> None:
    """Refuses a file name with an unknown ending."""
    if out is not None and out.suffix.lower() not in known:
        raise UsageError(f"cannot tell which form to write into {out}: its name must end in {', '.join(known)}")
    # A missing folder is more often a slip than a wish.
    if out is not None and not out.parent.is_dir():
        raise UsageError(f"there is no folder {out.parent} to write {out.name} into")


def refuse_unknown_form(host: Host) -> None:
    """Refuses a host with a form of unknown geometry."""
    from matrixmap.emit.pictures.faces import form_of

    if form_of(host) is None:
        raise UsageError(
            f"the host {host.id} has the form {host.form!r}, but the places of that form's keys are not known"
        )


def check_paper(paper: str, known: Iterable[str]) -> None:
    """Refuses an unknown paper."""
    from matrixmap.source.report import nearest

    papers = tuple(known)
    if paper not in papers:
        raise UsageError(f"there is no sheet {paper!r}{nearest(paper, papers)} (sheets: {', '.join(papers)})")


def check_language(language: str) -> None:
    """Refuses a language without texts."""
    from matrixmap.emit.texts.language import LANGUAGES
    from matrixmap.source.report import nearest

    if language not in LANGUAGES:
        known = ", ".join(LANGUAGES)
        raise UsageError(f"there is no language {language!r}{nearest(language, LANGUAGES)} (languages: {known})")


def language_of(language: str, host: Host) -> str:
    """The requested language, else that of the keyboard; English if it has no texts."""
    from matrixmap.emit.texts.language import language_for

    return language or language_for([host.id])


def write_page(html: str, target: Path) -> None:
    """Writes an HTML document, as a PDF if the name ends in `.pdf`."""
    from matrixmap.cli.files import write_all

    write_all(target.parent, {target.name: html_as_pdf(html) if target.suffix.lower() == ".pdf" else html})


def svg_pages_as_pdf(pages: Iterable[str]) -> bytes:
    """SVG documents, with width and height in pixels or millimetres, as a PDF with one page of that size for each.

    The PDF has the title of the first one and is tagged, each picture as a figure with its description.
    """
    from matrixmap.cli.make.visual import in_order_of_sight

    sheets, bodies = [], []
    title, language = "matrixmap", "en"
    for index, svg in enumerate(pages):
        width, height = svg_size(svg)
        if index == 0 and (found := re.search(r"<title[^>]*>([^<]*)</title>", svg)):
            title = found[1]
        if found := re.search(r'<svg [^>]*? lang="([A-Za-z0-9-]+)"', svg):
            language = found[1]
        sheets.append(f"@page p{index}{{size:{width} {height};margin:0}}.p{index}{{page:p{index}}}")
        bodies.append(f"<div class=p{index}>{in_order_of_sight(svg)}</div>")
    style = "body{margin:0}svg{display:block}" + "".join(sheets)
    return html_as_pdf(
        f"<!doctype html><html lang={language}><title>{title}</title><style>{style}</style>{''.join(bodies)}"
    )


def svg_size(svg: str) -> tuple[str, str]:
    """Width and height of one of our own SVG documents as CSS lengths."""
    found = re.search(r'<svg [^>]*?width="([0-9.]+)(mm)?" height="([0-9.]+)(mm)?"', svg)
    assert found is not None, "an SVG document of ours says its size"
    unit = found[2] or "px"
    return f"{found[1]}{unit}", f"{found[3]}{unit}"


def html_as_pdf(html: str) -> bytes:
    """HTML without outside resources, as a PDF."""
    return bytes(_lay_out(html).write_pdf(pdf_tags=True))


def one_page_pdf(htmls: Iterable[str]) -> bytes:
    """The first of some HTML documents, each smaller than the one before, that prints on one page; else the last."""
    for html in htmls:
        document = _lay_out(html)
        if len(document.pages) == 1:
            break
    return bytes(document.write_pdf(pdf_tags=True))


def svg_as_png(svg: str, width: int | None) -> bytes:
    """An SVG document as a PNG, with a width in pixels or the document's own width."""
    try:
        import pypdfium2
    except ImportError as error:
        _needs_extra(error)
    document = pypdfium2.PdfDocument(svg_pages_as_pdf([svg]))
    page = document[0]
    # A point of PDF is 1/72 inch, a pixel of CSS 1/96.
    scale = width / page.get_width() if width else 96 / 72
    out = io.BytesIO()
    page.render(scale=scale).to_pil().save(out, format="PNG")
    document.close()
    return out.getvalue()


def _lay_out(html: str) -> Document:
    try:
        import logging

        import weasyprint
    except (ImportError, OSError) as error:  # the second if Pango, which it loads, is not installed
        _needs_extra(error)
    # It would report every style that is for screens only.
    logging.getLogger("weasyprint").setLevel(logging.CRITICAL)
    return weasyprint.HTML(string=html, url_fetcher=_fetch_nothing).render()


def _fetch_nothing(url: str) -> NoReturn:
    raise ValueError(f"a picture asks for {url}, but pictures may load nothing")


def _needs_extra(error: Exception) -> NoReturn:
    first = str(error).strip().splitlines()[0]
    raise UsageError(
        f"PDF and PNG need the extra libraries: pip install 'matrixmap[pictures]', and the system library Pango ({first})"
    ) from error
