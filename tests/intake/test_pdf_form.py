"""Filled forms: three engines fill them, the plan is that of the typed notes, and traps are answered in time."""

from __future__ import annotations

import io
import json
import time
import zlib
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pypdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from hypothesis import given
from hypothesis import settings as run_settings
from hypothesis import strategies as st

from logbook.diagnostics import ProblemsFound
from logbook.intake.pdf_form import notes_of, text_if_form
from logbook.storage.printed import field_name

from ..conftest import Answer, snapshot

Bench = Callable[..., Answer]
TODAY = ["--today", "2026-11-25"]
LATER = ["--today", "2026-12-20"]
FILLED = {
    ("line", "1"): "28 nov wired 1 2 copper 2.5; Äste geprüft — 夕霧",
    ("line", "3"): "moss gone   yellow",
    ("day", "m1"): "30 nov",
    ("job", "m1"): True,
    ("vigour", "4"): True,
}


@pytest.fixture
def form(demo: Path, tmp_path: Path, bench: Bench) -> tuple[Path, str]:
    """A form of two trees, and the serial of the first."""
    out = tmp_path / "form.pdf"
    words = ["sheets", "--form", "--tag", "003", "--tag", "004", "--json", "-o", out, *TODAY]
    sheets = json.loads(bench(*words, folder=demo).out)["sheets"]
    return out, sheets[0]["serial"]


def fill_with_pypdf(path: Path, serial: str) -> bytes:
    writer = pypdf.PdfWriter(clone_from=path)
    values = {field_name(serial, *key): "/Yes" if value is True else value for key, value in FILLED.items()}
    for page in writer.pages:
        writer.update_page_form_field_values(page, values, auto_regenerate=False)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def fill_with_pikepdf(path: Path, serial: str) -> bytes:
    values = {field_name(serial, *key): value for key, value in FILLED.items()}
    with pikepdf.open(path) as opened:
        for field in opened.Root.AcroForm.Fields:
            value = values.get(str(field.T))
            if value is True:
                field.V = field.AS = pikepdf.Name.Yes
            elif value:
                field.V = pikepdf.String(value)
        out = io.BytesIO()
        opened.save(out)
    return out.getvalue()


def fill_with_pdfium(path: Path, serial: str) -> bytes:
    """As in a viewer: click into each field and type."""
    document = pypdfium2.PdfDocument(path)
    document.init_forms()
    names = {field_name(serial, *key): value for key, value in FILLED.items()}
    for page in document:
        for index in range(pdfium.FPDFPage_GetAnnotCount(page)):
            annotation = pdfium.FPDFPage_GetAnnot(page, index)
            size = pdfium.FPDFAnnot_GetFormFieldName(document.formenv, annotation, None, 0)
            buffer = (pdfium.FPDF_WCHAR * (size // 2))()
            pdfium.FPDFAnnot_GetFormFieldName(document.formenv, annotation, buffer, size)
            value = names.get(bytes(buffer).decode("utf-16-le").rstrip("\0"))
            if not value:
                continue
            box = pdfium.FS_RECTF()
            pdfium.FPDFAnnot_GetRect(annotation, box)
            x, y = (box.left + box.right) / 2, (box.top + box.bottom) / 2
            pdfium.FORM_OnLButtonDown(document.formenv, page, 0, x, y)
            pdfium.FORM_OnLButtonUp(document.formenv, page, 0, x, y)
            if value is not True:
                text = (value + "\0").encode("utf-16-le")
                pdfium.FORM_ReplaceSelection(
                    document.formenv, page, (pdfium.FPDF_WCHAR * (len(text) // 2)).from_buffer_copy(text)
                )
            pdfium.FORM_ForceToKillFocus(document.formenv)
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


WRITERS = {"pypdf": fill_with_pypdf, "pikepdf": fill_with_pikepdf, "PDFium": fill_with_pdfium}


@pytest.mark.parametrize("writer", WRITERS)
def test_a_filled_form_is_the_typed_notes(
    form: tuple[Path, str], demo: Path, tmp_path: Path, bench: Bench, writer: str
) -> None:
    path, serial = form
    filled, typed = tmp_path / "filled.pdf", tmp_path / "typed.txt"
    filled.write_bytes(WRITERS[writer](path, serial))
    typed.write_text(
        f"sheet {serial}\n1 28 nov wired 1 2 copper 2.5; Äste geprüft — 夕霧\n3 moss gone yellow\nm1 30 nov\nV 4\n",
        encoding="utf-8",
    )
    plans = [
        json.loads(bench("reconcile", p, "--dry-run", "--json", *LATER, folder=demo).out) for p in (filled, typed)
    ]
    assert plans[0] == plans[1] and {i["fate"] for i in plans[0]["items"]} == {"write"}
    assert bench("reconcile", filled, "--yes", *LATER, folder=demo).code == 0
    assert "夕霧" in (demo / "trees" / "003.yaml").read_text("utf-8")
    before = snapshot(demo)
    assert bench("reconcile", filled, "--yes", *LATER, folder=demo).code == 0
    assert bench("reconcile", typed, "--yes", *LATER, folder=demo).code == 0
    after = snapshot(demo)
    assert {p: d for p, d in after.items() if p.startswith("trees")} == {
        p: d for p, d in before.items() if p.startswith("trees")
    }, "given again, or typed as well, nothing changes"


def test_names_are_unique_and_the_form_is_sound(form: tuple[Path, str]) -> None:
    path, serial = form
    fields = pypdf.PdfReader(path).get_fields()
    assert fields is not None and len(fields) > 20 and field_name(serial, "line", "1") in fields
    names = [str(f.get_object()["/T"]) for f in pypdf.PdfReader(path).trailer["/Root"]["/AcroForm"]["/Fields"]]
    assert len(names) == len(set(names)) and not any("." in n for n in names)
    with pikepdf.open(path) as opened:
        assert opened.check_pdf_syntax() == []


def test_a_day_without_its_tick_is_asked(form: tuple[Path, str], demo: Path, tmp_path: Path, bench: Bench) -> None:
    typed = notes_of(
        {
            field_name(form[1], "day", "m1"): "30 nov",
            field_name(form[1], "vigour", "2"): "x",
            field_name(form[1], "vigour", "3"): "x",
        }
    )
    path = tmp_path / "n.txt"
    path.write_text(typed, encoding="utf-8")
    items = json.loads(bench("reconcile", path, "--dry-run", "--json", *LATER, folder=demo).out)["items"]
    assert [i["fate"] for i in items] == ["question", "write"] or {i["fate"] for i in items} == {"question"}
    assert "not ticked" in items[0]["typed"]


@given(
    st.dictionaries(
        st.builds(
            field_name,
            st.just("00142-4"),
            st.sampled_from(["line", "day", "job", "vigour"]),
            st.sampled_from(["1", "12", "A", "rp", "rp2"]),
        )
        | st.text(max_size=20),
        st.text(max_size=60),
        max_size=8,
    )
)
def test_no_value_is_lost(fields: dict[str, str]) -> None:
    said = notes_of(fields)
    for name, value in fields.items():
        if name.startswith("s001424_line") and value.strip():
            assert " ".join(value.split()) in said


def broken(form: Path) -> dict[str, bytes]:
    raw = form.read_bytes()
    locked = io.BytesIO()
    writer = pypdf.PdfWriter(clone_from=form)
    writer.encrypt("secret")
    writer.write(locked)
    plain = io.BytesIO()
    empty = pypdf.PdfWriter()
    empty.add_blank_page(100, 100)
    empty.write(plain)
    return {
        "half": raw[: len(raw) // 2],
        "locked": locked.getvalue(),
        "foreign": plain.getvalue(),
        "no pdf": b"%PDF-1.7\njunk",
    }


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("locked", "locked with a password"),
        ("foreign", "holds no form of ours"),
        ("no pdf", "can't be read"),
    ],
)
def test_other_pdfs_get_a_clear_answer(
    form: tuple[Path, str], demo: Path, tmp_path: Path, bench: Bench, kind: str, said: str
) -> None:
    path = tmp_path / "odd.pdf"
    path.write_bytes(broken(form[0])[kind])
    before = snapshot(demo)
    answer = bench("reconcile", path, "--yes", *LATER, folder=demo)
    assert answer.code == 1 and said in answer.err and "hint:" in answer.err
    assert {k: v for k, v in snapshot(demo).items() if k != ".lock"} == {
        k: v for k, v in before.items() if k != ".lock"
    }


def test_half_a_file_is_told_or_read_as_far_as_it_goes(form: tuple[Path, str]) -> None:
    half = broken(form[0])["half"]
    assert is_refused(half) or text_if_form(half, "half.pdf") == ""


def is_refused(raw: bytes) -> bool:
    """Whether a PDF is told to be none that can be read, with a hint, or to hold no form of ours."""
    try:
        return text_if_form(raw, "trap.pdf") is None
    except ProblemsFound as found:
        return bool(found.problems[0].hint)


def pdf(objects: list[bytes]) -> bytes:
    """A PDF out of its objects' bodies, the first being its root."""
    out, places = b"%PDF-1.7\n", []
    for number, body in enumerate(objects, start=1):
        places.append(len(out))
        out += f"{number} 0 obj\n".encode() + body + b"\nendobj\n"
    start = len(out)
    out += f"xref\n0 {len(objects) + 1}\n0000000000 65535 f \n".encode() + b"".join(
        f"{p:010d} 00000 n \n".encode() for p in places
    )
    return out + f"trailer\n<< /Size {len(objects) + 1} /Root 1 0 R >>\nstartxref\n{start}\n%%EOF".encode()


def many_fields() -> bytes:
    many = b" ".join(b"<< /T (s001424_line%d) /V (x) >>" % (n % 900) for n in range(200_000))
    return pdf([b"<< /Type /Catalog /AcroForm << /Fields [" + many + b"] >> >>"])


def deep_fields() -> bytes:
    deep = b"<< /T (a) /Kids [" * 400 + b"]" * 400
    return pdf([b"<< /Type /Catalog /AcroForm << /Fields [" + deep + b"] >> >>"])


def bomb() -> bytes:
    packed = zlib.compress(b"0" * 400_000_000)
    return pdf(
        [
            b"<< /Type /Catalog /AcroForm 2 0 R >>",
            b"<< /Length %d /Filter /FlateDecode >> stream\n" % len(packed) + packed + b"\nendstream",
        ]
    )


CATALOG = b"<< /Type /Catalog /AcroForm << /Fields [2 0 R] >> >>"
TRAPS: dict[str, Callable[[], bytes]] = {
    "fields by the hundred thousand": many_fields,
    "fields that hold themselves": lambda: pdf([CATALOG, b"<< /T (a) /Kids [2 0 R 2 0 R] >>"]),
    "fields in circles": lambda: pdf([CATALOG, b"<< /T (a) /Kids [3 0 R] >>", b"<< /T (b) /Kids [2 0 R] >>"]),
    "fields very deep": deep_fields,
    "pages that hold themselves": lambda: pdf(
        [b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [2 0 R] /Count 1 >>"]
    ),
    "a form in a bomb": bomb,
    "a root that is itself": lambda: pdf([b"1 0 R"]),
}


@pytest.mark.parametrize("name", TRAPS)
def test_traps_are_answered_in_time(name: str) -> None:
    """Bounded by the reading process's own limits: 20 s and 1.5 GB; here each takes a few seconds at most."""
    begun = time.monotonic()
    assert is_refused(TRAPS[name]())
    assert time.monotonic() - begun < 40


@given(st.binary(max_size=400))
@run_settings(max_examples=8, deadline=None)
def test_any_bytes_are_answered(junk: bytes) -> None:
    assert is_refused(b"%PDF-1.7\n" + junk)


def test_a_form_is_neither_booklet_nor_draft(demo: Path, bench: Bench) -> None:
    for more in ("--booklet", "--draft"):
        assert bench("sheets", "--form", more, folder=demo).code == 1


def test_a_ticked_box_takes_no_other_boxes_day() -> None:
    from logbook.intake.pdf_form import notes_of

    fields = {
        "s001424_jobA": "x",
        "s001424_jobC": "x",
        "s001424_dayC": "5 dec",
        "s001424_line1": "10 dec fed",
        "s001424_vigour3": "x",
        "s001424_vigour4": "x",
    }
    assert notes_of(fields) == "sheet 00142-4\nA\n1 10 dec fed\nC 5 dec\nV 3 or 4\n"


def test_a_day_for_boxes_that_have_none() -> None:
    fields = {"s001424_jobA": "x", "s001424_jobC": "x", "s001424_dayC": "5 dec", "s001424_vigour3": "x"}
    assert notes_of(fields, "2 dec") == "sheet 00142-4\nA 2 dec\nC 5 dec\nV 2 dec 3\n"


def test_a_cipher_that_is_not_known_here_is_answered(form: tuple[Path, str], tmp_path: Path) -> None:
    locked = tmp_path / "aes.pdf"
    with pikepdf.open(form[0]) as opened:
        opened.save(locked, encryption=pikepdf.Encryption(owner="secret", user="secret", R=6))
    with pytest.raises(ProblemsFound) as found:
        text_if_form(locked.read_bytes(), "aes.pdf")
    assert found.value.problems[0].hint
