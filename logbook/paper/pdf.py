"""Pages to PDF bytes. The only importer of reportlab; it paints what the layout decided and decides nothing.

Output is the same bytes for the same pages: no clock, no random ids. Fonts are embedded and cut to what is used.
"""

from __future__ import annotations

import io
import os
import zlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, lru_cache
from itertools import chain, islice

from reportlab import rl_config
from reportlab.lib.rl_accel import escapePDF
from reportlab.lib.utils import ImageReader
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFDocument, PDFName, PDFPage, PDFStream
from reportlab.pdfbase.pdfdoc import format as as_pdf
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from . import typesetting as setting
from .japanese import cut_face
from .page import Box, Code, Input, Item, Paper, Picture, Rule, Shape, Text

MM = 72 / 25.4
FEW_SIDES = 9
MOST_SHOWN = 500  # runs of characters of a document that are kept as they are shown
_TURNED = {1: (0.0, 1.0, -1.0, 0.0), 3: (0.0, -1.0, 1.0, 0.0)}  # by quarter turns, as a text's matrix
_MATRICES = {
    0: "1 0 0 1",
    **{turn: " ".join(f"{n:g}" for n in matrix) for turn, matrix in _TURNED.items()},
}  # as PDF says it
Shown = dict[tuple[str, str], list[tuple[str, str]]]
FONTS = {setting.REGULAR: "BenchRegular", setting.BOLD: "BenchBold", setting.JAPANESE: "BenchJapanese"}


def render(papers: Iterable[Paper], title: str, characters: Iterable[str] = ()) -> bytes:
    """PDF bytes of these paper sides, in order, painted as they come.

    `characters` are those beyond ASCII that may occur: the faces behind the first are cut to them before any page is
    painted, since the pages themselves are not kept. Of a few sides, what does occur is seen beforehand.
    """
    coming = iter(papers)
    first = [*islice(coming, FEW_SIDES)]
    _register(characters if len(first) == FEW_SIDES else _set_on(first) & {*characters})
    rl_config.useA85 = 0  # plain binary streams: smaller, and quicker to write
    made = _Whole()
    epoch = os.environ.pop("SOURCE_DATE_EPOCH", None)  # reportlab would stamp it into the file
    try:
        canvas = Canvas(made, invariant=1, pageCompression=1, initialFontName=FONTS[setting.REGULAR], lang="en")
        canvas.setTitle(title)
        canvas.setCreator("benchleaf")
        canvas._doc.info.producer = "benchleaf"
        kept: Shown = {}
        for number, paper in enumerate(chain(first, coming)):
            canvas.addPageLabel(number, prefix=_label(paper, number))
            _paint_paper(canvas, paper, kept)
        canvas.save()
    finally:
        if epoch is not None:
            os.environ["SOURCE_DATE_EPOCH"] = epoch
    return made.data


class _Whole:
    """Takes the file that the PDF writer hands over in one piece at its end, without a copy of it."""

    data = b""

    def write(self, data: bytes) -> None:
        """Keep it."""
        self.data += data


def _set_on(papers: Iterable[Paper]) -> set[str]:
    """The characters that stand on these sides."""
    groups = (group for paper in papers for group in (*(p.page.items for p in paper.placed), paper.marks))
    return {character for group in groups for item in group if isinstance(item, Text) for character in item.text}


def _label(paper: Paper, number: int) -> str:
    """What a viewer's page box shows: the pages on this side, or just its number."""
    names = [placed.label for placed in paper.placed if placed.label]
    if not names:
        return str(number + 1)
    return names[0] if len(names) == 1 else f"{names[0]} to {names[-1]}"


def _register(characters: Iterable[str]) -> None:
    for name in (setting.REGULAR, setting.BOLD):
        pdfmetrics.registerFont(_font(name))
    needed = setting.beyond_first_face(characters)
    if needed:
        pdfmetrics.registerFont(TTFont(FONTS[setting.JAPANESE], io.BytesIO(cut_face(needed))))


@cache
def _font(name: str) -> TTFont:
    """A face as reportlab has it; what a document uses of it is the document's own."""
    return TTFont(FONTS[name], str(setting.font_path(name)))


def _font_of(name: str) -> TTFont:
    return pdfmetrics.getFont(FONTS[name])


def _paint_paper(canvas: Canvas, paper: Paper, kept: Shown) -> None:
    canvas.setPageSize((paper.width * MM, paper.height * MM))
    for placed in paper.placed:
        canvas.saveState()
        if placed.turned:
            canvas.translate((placed.x + placed.page.width) * MM, (paper.height - placed.y - placed.page.height) * MM)
            canvas.rotate(180)
            canvas.translate(0, -placed.page.height * MM)
        else:
            canvas.translate(placed.x * MM, (paper.height - placed.y - placed.page.height) * MM)
        _paint_items(canvas, placed.page.items, placed.page.height, kept)
        canvas.restoreState()
    _paint_items(canvas, paper.marks, paper.height, kept)
    canvas.showPage()
    _packed(canvas._doc.Pages.pages[-1])


def _packed(page: PDFPage) -> None:
    """Pack what was painted at once: the writer would keep it at length until its end."""
    packed = PDFDictionary({"Filter": PDFArray([PDFName("FlateDecode")])})
    page.Contents, page.stream = _Packed(packed, zlib.compress(page.stream.encode())), None


class _Packed(PDFStream):  # type: ignore[misc] # reportlab has no types
    """What was painted on a page; once it is part of the file it is not kept beside it."""

    def format(self, document: object) -> bytes:
        """Its object in the file, asked for once."""
        said: bytes = super().format(document)
        self.content = b""
        return said


def _paint_items(canvas: Canvas, items: Sequence[Item], height: float, kept: Shown) -> None:
    texts: list[Text] = []
    drawn: list[str] = []  # what is drawn by lines alone, as PDF operators, until something else stands before it
    for item in items:
        kind = type(item)
        if kind is Text:
            texts.append(item)  # type: ignore[arg-type]
        elif kind in _DRAWN:
            drawn.append(_DRAWN[kind](item, height))
        else:
            _drawn(canvas, drawn)
            _PAINTERS[kind](canvas, item, height)
    _drawn(canvas, drawn)
    if texts:
        _paint_texts(canvas, texts, height, kept)


def _drawn(canvas: Canvas, operators: list[str]) -> None:
    if operators:
        canvas.addLiteral("\n".join(operators))
        operators.clear()


def _paint_texts(canvas: Canvas, texts: Sequence[Text], height: float, kept: Shown) -> None:
    """All texts of a page in one text object."""
    said = ["BT 0 g"]
    white, font = False, ("", 0.0)
    boxes: list[tuple[float, float, Text, int]] = []
    for item, name, piece, x, y in _placed_runs(texts, height):
        if item.white is not white:
            white = item.white
            said.append("1 g" if white else "0 g")
        if name == setting.NONE:
            boxes.append((x, y, item, len(piece)))
            continue
        said.append(f"{_MATRICES[item.turn]} {x:.3f} {y:.3f} Tm")
        for face, shown in _shown(canvas, name, piece, kept):
            if font != (face, item.size_pt):
                font = (face, item.size_pt)
                said.append(f"{face} {item.size_pt:g} Tf")
            said.append(shown)
    canvas.addLiteral("\n".join([*said, "ET"]))
    for box in boxes:
        _paint_missing(canvas, *box)


def _shown(canvas: Canvas, name: str, piece: str, kept: Shown) -> list[tuple[str, str]]:
    """What shows a run of characters: subsets of its face by their names in the document, and the operator. Most runs come again."""
    found = kept.get((name, piece))
    if found is None:
        font, document = _font_of(name), canvas._doc
        parts = font.splitString(piece, document)
        found = [(font.getSubsetInternalName(part, document), f"({escapePDF(text)}) Tj") for part, text in parts]
        if len(kept) < MOST_SHOWN:
            kept[name, piece] = found
    return found


def _placed_runs(texts: Iterable[Text], height: float) -> Iterator[tuple[Text, str, str, float, float]]:
    """Of each text, its runs: face, characters, and where they begin, in points from the page's lower left corner."""
    for item in texts:
        x, y = item.x * MM, (height - item.y) * MM
        for name, piece in setting.runs(item.text, item.bold):
            yield item, name, piece, x, y
            wide = setting.width_mm(piece, item.size_pt, item.bold) * MM
            if item.turn:
                across, up, *_ = _TURNED[item.turn]
                x, y = x + across * wide, y + up * wide
            else:
                x += wide


def _paint_missing(canvas: Canvas, x: float, y: float, item: Text, count: int) -> None:
    size = item.size_pt
    canvas.saveState()
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.5)
    canvas.translate(x, y)
    canvas.rotate(90 * item.turn)
    for index in range(count):
        canvas.rect((index * setting.BOX_EM + 0.06) * size, 0, (setting.BOX_EM - 0.12) * size, 0.7 * size)
    canvas.restoreState()


def _rule(item: Rule, height: float) -> str:
    line = f"{item.x1 * MM:.5f} {(height - item.y1) * MM:.5f} m {item.x2 * MM:.5f} {(height - item.y2) * MM:.5f} l S"
    line = f"{item.gray:g} G {item.thick * MM:.5f} w {line}"
    return f"[{item.dash * MM:.5f}] 0 d {line} [] 0 d" if item.dash else line


def _box(item: Box, height: float) -> str:
    y = (height - item.y - item.height) * MM
    box = f"{item.x * MM:.5f} {y:.5f} {item.width * MM:.5f} {item.height * MM:.5f} re"
    return f"0 G {item.thick * MM:.5f} w {box} S" if item.fill is None else f"{item.fill:g} g {box} f"


def _shape(item: Shape, height: float) -> str:
    path = " l ".join([f"{x * MM:.5f} {(height - y) * MM:.5f}" for x, y in item.points]).replace(" l ", " m ", 1)
    return f"0 G {item.thick * MM:.5f} w {path} l s" if item.fill is None else f"{item.fill:g} g {path} l h f"


_DRAWN: dict[type, Callable[..., str]] = {Rule: _rule, Box: _box, Shape: _shape}


def _paint_code(canvas: Canvas, item: Code, height: float) -> None:
    """Runs of dark modules merged into one path of whole units, so that no seam shows at any resolution."""
    module = item.module * MM
    left, top = item.x * MM, (height - item.y) * MM
    canvas.addLiteral(f"q 0 g {module:.5f} 0 0 {-module:.5f} {left:.4f} {top:.4f} cm {_runs(item.rows)} f Q")
    if item.link:
        size = item.size * MM
        x, y = canvas.absolutePosition(left, top - size)
        x2, y2 = canvas.absolutePosition(left + size, top)
        canvas.linkURL(item.link, (min(x, x2), min(y, y2), max(x, x2), max(y, y2)), relative=0)
        _put_down(canvas._doc)


def _put_down(document: PDFDocument) -> None:
    """The object that came last as it will stand in the file: there are many links, and each of a dozen objects."""
    name = next(reversed(document.idToObject))
    document.idToObject[name] = as_pdf(document.idToObject[name], document)


@lru_cache(maxsize=16)
def _runs(rows: tuple[tuple[bool, ...], ...]) -> str:
    """Rectangles, in modules, of the dark runs of each row, as PDF operators."""
    said: list[str] = []
    for row, cells in enumerate(rows):
        start = None
        for column, dark in enumerate((*cells, False)):
            if dark and start is None:
                start = column
            elif not dark and start is not None:
                said.append(f"{start} {row} {column - start} 1 re")
                start = None
    return " ".join(said)


def _paint_picture(canvas: Canvas, item: Picture, height: float) -> None:
    canvas.drawImage(
        ImageReader(io.BytesIO(item.jpeg)),
        item.x * MM,
        (height - item.y - item.height) * MM,
        item.width * MM,
        item.height * MM,
    )


def _paint_input(canvas: Canvas, item: Input, height: float) -> None:
    """A form field. Its own font is one every viewer has; nothing is filled in beforehand."""
    x, y = item.x * MM, (height - item.y - item.height) * MM
    common = {"name": item.name, "tooltip": item.tip, "relative": True, "borderWidth": 0, "forceBorder": False}
    if item.tick:
        size = min(item.width, item.height) * MM
        canvas.acroForm.checkbox(x=x, y=y, size=size, buttonStyle="check", **common)
    else:
        canvas.acroForm.textfield(
            x=x, y=y, width=item.width * MM, height=item.height * MM, fontSize=9, fillColor=None, maxlen=0, **common
        )


_PAINTERS: dict[type, Callable[..., None]] = {
    Input: _paint_input,
    Code: _paint_code,
    Picture: _paint_picture,
}
