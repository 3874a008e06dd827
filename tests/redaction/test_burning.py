"""A redacted copy holds nothing of what was hidden, wherever a PDF may hold it."""

from __future__ import annotations

import io

import pikepdf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pikepdf import Array, Dictionary, Name
from PIL import Image

from cases.redaction.pdf import burning, checking, cleaning, covering, limits, opened
from cases.redaction.pdf.limits import Unfit
from tests.redaction.papers import (
    HIGH,
    WIDE,
    area,
    burn,
    everywhere,
    holds,
    line,
    paper,
    picture,
    places,
    poppler_text,
    saved,
    spelled,
    texts_of,
    with_picture,
)

SECRET = "Quincewort"


def drawn(content: bytes, page: int = 1, dots: int = 72) -> Image.Image:
    with opened.opened(content) as document, opened.page_of(document, page) as one:
        return opened.drawn(one, dots_an_inch=dots)


def test_words_are_gone_from_picture_and_text_and_the_others_stay():
    content = saved(paper(line("Seen by Marla Quince at nine"), line("No name here")))
    made = burn(content, *places(content, "Marla Quince"))
    assert texts_of(made.content) == ["Seen by [redacted 3] at nine", "No name here"]
    assert not holds(made.content, "Quince") and not holds(made.content, "Marla")
    assert made.checked["pages_made_anew"] == [1] and made.elsewhere == []
    assert made.pages == 2
    # What lies below the bar is black, but for its code, and was not before.
    (mark,) = places(content, "Marla Quince")
    box = covering.pixels_of(tuple(mark["boxes"][0]), (WIDE, HIGH))
    assert drawn(made.content).crop(box).resize((1, 1), Image.Resampling.BOX).getpixel((0, 0)) < (
        90, 90, 90,
    )  # fmt: skip
    assert drawn(content).crop(box).resize((1, 1), Image.Resampling.BOX).getpixel((0, 0)) > (
        120, 120, 120,
    )  # fmt: skip


def test_poppler_reads_the_words_that_remain_and_no_other(processes):
    content = saved(paper(line("Seen by Marla Quince at nine")))
    said = poppler_text(burn(content, *places(content, "Quince")).content)
    if said is not None:
        assert "Seen by Marla [redacted 3] at nine" in said


def test_three_redactions_by_words_and_area_on_one_page():
    content = saved(paper(
        line("Marla Quince saw Tom Alder") + line("at 12 Elm Row", y=90) + line("at nine", y=60)
    ))  # fmt: skip
    # The area reaches into "Row" alone: the whole word is gone from the text.
    row = places(content, "Row")[0]["boxes"][0]
    cut = area(1, row[2] - 60, row[1], row[2] + 500, row[3])
    made = burn(content, *places(content, "Marla"), *places(content, "Alder", number="4"), cut)
    (said,) = texts_of(made.content)
    assert said == "[redacted 3] Quince saw Tom [redacted 4] at 12 Elm [redacted 7b] at nine"
    for word in ("Marla", "Alder"):
        assert not holds(made.content, word)


def test_nothing_beside_the_pages_goes_along():
    content = everywhere(SECRET)
    assert all(holds(content, one) for one in (SECRET,))
    made = burn(content, *places(content, SECRET, page=1))
    assert not holds(made.content, SECRET)
    assert texts_of(made.content) == ["Seen by [redacted 3] at nine", "Nothing here"]
    assert made.content.count(b"startxref") == made.content.count(b"%%EOF") == 1
    with pikepdf.Pdf.open(io.BytesIO(made.content)) as pdf:
        assert set(pdf.Root.keys()) == {"/Type", "/Pages"}
        assert set(pdf.trailer.keys()) <= {"/Root", "/Size", "/ID"}
        # The second page was taken over: its words are drawn, by its own font.
        assert pdf.pages[1].obj.Resources.Font["/F"].BaseFont == "/Helvetica"


def test_the_same_choice_gives_the_same_bytes_in_any_order():
    content = saved(paper(line("Marla Quince saw Tom"), line("Tom was there")))
    marks = [*places(content, "Marla"), *places(content, "Tom", number="4", page=1)]
    once, again = burn(content, *marks), burn(content, *reversed(marks))
    assert once.content == again.content
    assert once.content != burn(content, *marks[:1]).content


@pytest.mark.parametrize("turned", [0, 90, 180, 270])
def test_pages_that_are_turned_or_cropped_are_covered_where_they_are_seen(turned):
    pdf = paper(line("Seen by Marla Quince") + line("Outside", y=5, size=8))
    pdf.pages[0].obj["/Rotate"] = turned
    pdf.pages[0].obj["/CropBox"] = Array([10, 30, WIDE - 40, HIGH - 10])
    content = saved(pdf)
    (mark,) = places(content, "Quince")
    made = burn(content, mark)
    assert texts_of(made.content)[0].split() and "Quince" not in texts_of(made.content)[0]
    assert "Marla" in texts_of(made.content)[0]
    assert not holds(made.content, "Outside")
    was, now = drawn(content), drawn(made.content)
    assert was.size == now.size
    box = covering.pixels_of(tuple(mark["boxes"][0]), now.size)
    gray = now.convert("L").crop(box)
    assert sum(gray.get_flattened_data()) / len(gray.get_flattened_data()) < 90
    # Beside the bar nothing was lost.
    before = sum(one < 128 for one in was.convert("L").get_flattened_data())
    assert sum(one < 128 for one in now.convert("L").get_flattened_data()) > before


def test_a_page_that_is_cropped_and_hides_nothing_keeps_nothing_of_what_is_cut_off():
    pdf = paper(line("Seen by Marla"), line("Shown") + line("Outside", y=5, size=8))
    pdf.pages[1].obj["/CropBox"] = Array([0, 30, WIDE, HIGH])
    content = saved(pdf)
    made = burn(content, *places(content, "Marla"))
    assert made.checked["pages_made_anew"] == [1, 2]
    assert texts_of(made.content)[1] == "Shown" and not holds(made.content, "Outside")


def test_words_within_a_form_are_gone_and_a_form_without_them_is_taken_over():
    pdf = paper("q 1 0 0 1 0 0 cm /X Do Q", "q 1 0 0 1 0 0 cm /X Do Q")
    for number, said in enumerate(("Seen by Marla", "Seen by nobody")):
        page = pdf.pages[number].obj
        form = pdf.make_stream(line(said).encode() + b"% Quincewort\n")
        form["/Type"], form["/Subtype"] = Name.XObject, Name.Form
        form["/BBox"] = Array([0, 0, WIDE, HIGH])
        form["/Resources"] = Dictionary(Font=page.Resources.Font)
        form["/PieceInfo"] = Dictionary(Private=pikepdf.String(SECRET))
        page.Resources["/XObject"] = Dictionary(X=form)
    content = saved(pdf)
    made = burn(content, *places(content, "Marla"))
    assert texts_of(made.content) == ["Seen by [redacted 3]", "Seen by nobody"]
    assert made.checked["pages_made_anew"] == [1]
    assert not holds(made.content, SECRET) and not holds(made.content, "Marla")


def test_a_scan_loses_the_points_below_the_bar_and_an_area_its_unseen_words():
    pdf = paper(line("Marla Quince", before="3 Tr", y=120))
    with_picture(pdf, 1, picture(), (60, 40))
    content = saved(pdf)
    # Of the picture, its left part is covered; the words that lie unseen may be out of place.
    made = burn(content, area(1, 600, 5000, 2000, 9000))
    assert made.checked["pages_without_text"] == [1]
    assert texts_of(made.content) == ["[redacted 7b]"]
    assert not holds(made.content, "Quince")
    now = drawn(made.content)
    assert now.getpixel((30, 110)) == (0, 0, 0) and now.getpixel((100, 110))[0] > 150


def test_unseen_words_go_along_with_no_page():
    bar = "0 g 18 84 120 20 re f"
    pdf = paper(
        line("Seen by Marla"), line("Shown") + line("Quincewort", y=90) + bar,
        line("Shown") + "1 g" + line("Quincewort", y=90),
        line("Shown") + line("Quincewort", y=90, x=900),
    )  # fmt: skip
    content = saved(pdf)
    made = burn(content, *places(content, "Marla"))
    assert made.checked["pages_made_anew"] == [1, 2, 3, 4]
    assert texts_of(made.content)[1:] == ["Shown"] * 3
    assert not holds(made.content, SECRET)


def test_a_layer_that_is_switched_off_is_gone():
    pdf = paper(line("Seen by Marla"), f"/OC /L BDC {line('Quincewort')} EMC {line('Shown', y=60)}")
    group = pdf.make_indirect(Dictionary(Type=Name.OCG, Name=pikepdf.String("Quincewort")))
    pdf.pages[1].obj.Resources["/Properties"] = Dictionary(L=group)
    pdf.Root.OCProperties = Dictionary(
        OCGs=Array([group]), D=Dictionary(OFF=Array([group]), Order=Array([group]))
    )
    content = saved(pdf)
    made = burn(content, *places(content, "Marla"))
    assert not holds(made.content, SECRET)
    assert made.checked["pages_without_text"] == [1, 2]


def test_a_picture_that_is_taken_over_keeps_no_notes_of_its_camera():
    noted = Image.Exif()
    noted[0x010E] = SECRET
    data = picture(exif=noted, comment=SECRET.encode())
    pdf = paper(line("Seen by Marla"), line("Shown"))
    with_picture(pdf, 2, data, (60, 40))
    content = saved(pdf)
    made = burn(content, *places(content, "Marla"))
    assert made.checked["pages_made_anew"] == [1]
    assert not holds(made.content, SECRET)
    was, now = drawn(content, 2), drawn(made.content, 2)
    assert was.getpixel((50, 120)) == now.getpixel((50, 120)) != (255, 255, 255)


def test_a_picture_of_another_page_does_not_come_along_by_shared_resources():
    pdf = paper(line("Seen by Marla"), line("Shown"))
    with_picture(pdf, 1, picture((10, 200, 30)), (60, 40))
    pdf.pages[1].obj.Resources = pdf.pages[0].obj.Resources
    content = saved(pdf)
    made = burn(content, *places(content, "Marla"))
    with pikepdf.Pdf.open(io.BytesIO(made.content)) as copy:
        assert set(copy.pages[1].obj.Resources.keys()) == {"/Font"}
        pictures = [
            one for one in copy.objects
            if isinstance(one, pikepdf.Stream) and one.get("/Subtype") == "/Image"
        ]  # fmt: skip
        assert len(pictures) == 1


def test_hidden_words_that_stand_elsewhere_are_told_with_their_pages():
    content = saved(paper(
        line("Marla Quince called. Quince again."), line("The quinces of Quince"), line("none")
    ))  # fmt: skip
    made = burn(content, *places(content, "Marla Quince"))
    assert made.elsewhere == [
        {"page": 1, "times": 1, "words": "Quince"},
        {"page": 2, "times": 1, "words": "Quince"},
    ]


def test_a_passage_that_is_hidden_once_may_stand_on_another_place_of_a_page():
    content = saved(paper(
        line("Tarn County Office Case 7") + line("Tarn County Office Case 8", y=60)
    ))  # fmt: skip
    first = places(content, "County Office Case")[0]
    made = burn(content, first)
    assert texts_of(made.content) == ["Tarn [redacted 3] 7 Tarn County Office Case 8"]
    assert made.elsewhere[0] == {"page": 1, "times": 1, "words": "Case"}


def test_letters_of_other_scripts_stay_readable_and_go_when_hidden():
    import typst

    source = (
        '#set page(width: 300pt, height: 160pt)\n#set text(font: ("Libertinus Serif", '
        '"DejaVu Sans"))\nZoë Łukasz Ελένη fiﬄe\n\nМарла officer'
    )
    content = bytes(typst.compile(source.encode()))
    made = burn(content, *places(content, "Ελένη"))
    (said,) = texts_of(made.content)
    assert "Ελένη" not in said and "Łukasz" in said and "Марла" in said and "officer" in said
    assert not holds(made.content, "Ελένη")


def test_a_word_that_is_parted_over_two_lines_is_hidden_in_both():
    content = saved(paper(line("Seen by Quince-", y=120) + line("wort at nine", y=100)))
    found = places(content, "Quincewort")
    assert len(found) == 1 and len(found[0]["boxes"]) == 2
    made = burn(content, *found)
    said = texts_of(made.content)[0]
    assert said == "Seen by [redacted 3] at nine"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", limits.BROKEN),
        (b"no PDF", limits.BROKEN),
        (b"%PDF-1.7\n1 0 obj\n<<>>\nendobj", limits.BROKEN),
        (saved(paper(line("x")))[:200], limits.BROKEN),
        (saved(paper(line("x")), encryption=pikepdf.Encryption(owner="a", user="b")),
         limits.LOCKED),
        (saved(paper(line("x")), encryption=pikepdf.Encryption(owner="a", user="")),
         limits.LOCKED),
        (saved(paper(line("x"), box=(9000, 200))), limits.WRONG_SIZE),
        (saved(paper(line("x"), box=(10, 200))), limits.WRONG_SIZE),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_redacted_is_refused_in_words(content, said):
    with pytest.raises(Unfit) as refused, opened.opened(content) as document:
        opened.sizes_of(document)
    assert str(refused.value) == said


def test_a_document_of_too_many_pages_is_refused(monkeypatch):
    monkeypatch.setattr(limits, "MOST_PAGES", 1)
    with pytest.raises(Unfit, match="too many pages"):
        burn(saved(paper(line("a"), line("b"))))


def test_a_page_tree_that_runs_in_a_circle_ends():
    pdf = paper(line("Seen by Marla"))
    pages = pdf.Root.Pages
    pages.Kids = Array([*pages.Kids, pages])
    pages.Count = 5
    content = saved(pdf)
    try:
        made = burn(content, area(1, 100, 100, 900, 900))
    except Unfit:
        return
    assert not holds(made.content, "endless")


def test_a_form_that_draws_itself_is_made_anew():
    pdf = paper(line("Seen by Marla"), "/X Do " + line("Shown"))
    form = pdf.make_indirect(pdf.make_stream(b"/X Do"))
    form["/Type"], form["/Subtype"], form["/BBox"] = Name.XObject, Name.Form, Array([0, 0, 9, 9])
    form["/Resources"] = Dictionary(XObject=Dictionary(X=form))
    pdf.pages[1].obj.Resources["/XObject"] = Dictionary(X=form)
    content = saved(pdf)
    made = burn(content, *places(content, "Marla"))
    assert made.checked["pages_made_anew"] == [1, 2]


def test_a_copy_that_holds_more_than_was_meant_is_not_kept():
    content = saved(paper(line("Seen by Marla at nine")))
    mark = places(content, "Marla")
    with opened.opened(content) as document:
        sheet = burning._sheet(document, 1, mark)
        made = burning._written(document, content, [sheet])
    checking.looked_through(made, [sheet])
    for spoil in (
        lambda pdf, page: pdf.docinfo.__setitem__("/Title", "Marla"),
        lambda pdf, page: page.__setitem__("/PieceInfo", Dictionary()),
        lambda pdf, page: page.__setitem__(
            "/Contents", pdf.make_stream(page.Contents.read_bytes() + b"\n% Marla")
        ),
        lambda pdf, page: page.__setitem__("/Contents", pdf.make_stream(b"")),
        lambda pdf, page: page.Resources.XObject.__setitem__("/Q", page.Resources.XObject.P),
        lambda pdf, page: page.Resources.XObject.P.__setitem__("/Name", pikepdf.String("Marla")),
        lambda pdf, page: page.Resources.XObject.P.__setitem__("/Width", pikepdf.String("Marla")),
        lambda pdf, page: pdf.Root.__setitem__("/Lang", pikepdf.String("en")),
    ):
        # Each in a copy of its own: one that is refused for another would tell nothing of it.
        with pikepdf.Pdf.open(io.BytesIO(made)) as pdf:
            spoil(pdf, pdf.pages[0].obj)
            spoiled = saved(pdf)
        with pytest.raises(Unfit, match="Nothing was kept"):
            checking.looked_through(spoiled, [sheet])


def test_a_page_that_looks_otherwise_once_it_is_taken_over_is_made_anew(monkeypatch):
    content = saved(paper(line("Seen by Marla"), "0 g 20 20 200 60 re f " + line("Shown")))

    def lost(source, into):
        into.add_blank_page(page_size=(WIDE, HIGH))

    monkeypatch.setattr(cleaning, "taken", lost)
    made = burn(content, *places(content, "Marla"))
    assert made.checked["pages_made_anew"] == [1, 2]
    assert drawn(made.content, 2).convert("L").getextrema()[0] < 128


def without(content: bytes, words: str) -> bytes:
    """The same PDF without a line of its second page."""
    with pikepdf.Pdf.open(io.BytesIO(content)) as pdf:
        page = pdf.pages[1].obj
        page.Contents = pdf.make_stream(page.Contents.read_bytes().replace(words.encode(), b""))
        return saved(pdf)


def test_a_line_that_is_lost_on_a_page_that_was_taken_over_is_seen(monkeypatch):
    lines = "".join(line(f"Line {n} of a long page", y=280 - 14 * n, size=9) for n in range(12))
    content = saved(paper(line("Seen by Marla"), lines, box=(300, 300)))
    taken = cleaning.taken
    less = io.BytesIO(without(content, "Line 7 of a long page"))
    with pikepdf.Pdf.open(less) as lost, monkeypatch.context() as patch:
        patch.setattr(cleaning, "taken", lambda source, into: taken(lost.pages[1], into))
        made = burn(content, *places(content, "Marla"))
    assert made.checked["pages_made_anew"] == [1, 2]
    assert "Line 7 of a long page" in texts_of(made.content)[1]
    assert burn(content, *places(content, "Marla")).checked["pages_made_anew"] == [1]


def test_what_is_lost_beside_a_bar_and_a_bar_that_is_lacking_are_seen(monkeypatch):
    lines = line("Seen by Marla") + line("He fell", y=40, size=9)
    content = saved(paper(lines))
    marks = places(content, "Marla")
    burn(content, *marks)
    covered = covering.covered
    below = (0, 100, WIDE, HIGH)

    def too_much(picture, covers):
        made = covered(picture, covers)
        made.paste((255, 255, 255), tuple(round(one * made.width / WIDE) for one in below))
        return made

    for wrong in (too_much, lambda picture, covers: covered(picture, [])):
        with monkeypatch.context() as patch:
            patch.setattr(covering, "covered", wrong)
            with pytest.raises(Unfit, match="did not show all"):
                burn(content, *marks)


def test_what_belongs_to_a_layer_is_not_taken_over_though_no_layers_are_listed():
    pdf = paper(line("Seen by Marla"), "/X Do " + line("Shown"))
    form = pdf.make_indirect(pdf.make_stream(b"0 0 5 5 re f"))
    form["/Type"], form["/Subtype"], form["/BBox"] = Name.XObject, Name.Form, Array([0, 0, 9, 9])
    form["/OC"] = Dictionary(Type=Name.OCG, Name=pikepdf.String(SECRET))
    pdf.pages[1].obj.Resources["/XObject"] = Dictionary(X=form)
    content = saved(pdf)
    made = burn(content, *places(content, "Marla"))
    assert made.checked["pages_made_anew"] == [1, 2]
    assert not holds(made.content, SECRET)


@pytest.mark.parametrize(
    ("box", "size", "points"),
    [
        # Six hundredths of the shorter side on each side, one point at least, and no edge less.
        ((1000, 2000, 3000, 2500), (1000, 1000), (97, 197, 303, 253)),
        ((1000, 2000, 3000, 2500), (100, 100), (9, 19, 31, 26)),
        ((1003, 2003, 1017, 2017), (1000, 1000), (99, 199, 103, 203)),
        ((0, 0, 10_000, 10_000), (200, 300), (0, 0, 200, 300)),
    ],
)
def test_a_bar_covers_its_box_whole_and_reaches_past_it(box, size, points):
    assert covering.pixels_of(box, size) == points


def test_a_jpeg_that_is_not_whole_is_not_taken_over():
    for data in (b"", b"\xff\xd8", b"\xff\xd8\xff\xe0\x00\x01", b"\xff\xd8ab", picture()[:-2]):
        with pytest.raises(cleaning.NotTaken):
            cleaning.bare_jpeg(data)
    bare = cleaning.bare_jpeg(picture(comment=b"Quincewort") + b"Quincewort")
    assert b"Quincewort" not in bare
    assert Image.open(io.BytesIO(bare)).getpixel((5, 5))[0] > 150


NAMES = st.sampled_from(["Marla", "Quince", "Alderly", "Osric", "Tamsin", "Wrenfield", "Hollis"])


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(pages=st.lists(st.lists(NAMES, min_size=1, max_size=4), min_size=1, max_size=3),
       wanted=NAMES, turned=st.sampled_from([0, 90]))  # fmt: skip
def test_no_word_that_is_hidden_everywhere_remains_in_the_bytes(pages, wanted, turned):
    pdf = paper(*(line(" ".join(words)) for words in pages))
    for page in pdf.pages:
        page.obj["/Rotate"] = turned
    content = saved(pdf)
    marks = places(content, wanted)
    made = burn(content, *marks)
    said = texts_of(made.content)
    for words, text in zip(pages, said, strict=True):
        assert wanted not in text
        assert sum(text.count(one) for one in set(words) if one != wanted) >= len(
            set(words) - {wanted}
        )
    assert made.elsewhere == []
    assert not holds(made.content, wanted)


def test_spellings_that_are_looked_for_are_those_that_a_pdf_has():
    assert {b"ab", b"\x00a\x00b", b"6162"} <= spelled("AB")


REPLACED = f"/Span <</ActualText ({SECRET} spoke)>> BDC " + line("Seen at nine") + " EMC\n"


def replaced_in_a_form() -> pikepdf.Pdf:
    pdf = paper("/X Do\n" + line("Tom was there", y=80))
    resources = pdf.pages[0].obj.Resources
    form = pdf.make_stream(REPLACED.encode())
    form["/Type"], form["/Subtype"] = Name.XObject, Name.Form
    form["/BBox"], form["/Resources"] = Array([0, 0, WIDE, HIGH]), Dictionary(Font=resources.Font)
    resources["/XObject"] = Dictionary(X=pdf.make_indirect(form))
    return pdf


def replaced_by_a_property() -> pikepdf.Pdf:
    pdf = paper("/Span /P0 BDC " + line("Seen at nine") + " EMC\n" + line("Tom was there", y=80))
    said = pdf.make_indirect(Dictionary({"/ActualText": pikepdf.String(f"{SECRET} spoke")}))
    pdf.pages[0].obj.Resources["/Properties"] = Dictionary(P0=said)
    return pdf


@pytest.mark.parametrize(
    "pdf",
    [
        paper(REPLACED + line("Tom was there", y=80)),
        paper(REPLACED.replace("Actual", "#41ctual") + line("Tom was there", y=80)),
        paper(REPLACED.replace(f"{SECRET} spoke", "") + line("Tom was there", y=80)),
        paper("/Span <</MCID 1>> BDC " + REPLACED + "EMC\n" + line("Tom was there", y=80)),
        replaced_in_a_form(),
        replaced_by_a_property(),
    ],
    ids=["given", "spelled otherwise", "nothing", "within another", "in a form", "by a property"],
)
def test_what_is_drawn_is_read_whatever_words_a_file_gives_in_its_place(pdf):
    content = saved(pdf)
    # Drawn words are found, and what is drawn nowhere is not.
    assert len(places(content, "Seen at")) == 1 and not places(content, SECRET)
    made = burn(content, *places(content, "Tom"))
    assert texts_of(made.content) == ["Seen at nine [redacted 3] was there"]
    assert not holds(made.content, SECRET)
    assert "Seen" not in texts_of(burn(content, *places(content, "Seen at")).content)[0]
