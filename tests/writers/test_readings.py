"""Readings of the apparatus as markup in MEI and MusicXML.

Elements and their meaning: MEI Guidelines (PS: app/lem/rdg, choice of sic/corr, supplied, unclear, gap, with resp,
cert and reason); MusicXML 4.0: ``footnote`` and ``level``.
"""

from __future__ import annotations

import multiprocessing
from pathlib import Path

import pytest
import verovio
from lxml import etree

from pipeline.edition.apparatus import apparatus
from pipeline.edition.casting import cast_off
from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.model.apparatus import Apparatus, Kind
from pipeline.model.score import Score
from pipeline.model.text import SourceText
from pipeline.source.read import sounding_piece
from pipeline.writers.mei import write_mei, write_mei_forms
from pipeline.writers.musicxml import write_musicxml
from tests import made
from tests.outside.readback import differences, heads_by_partitura, heard_by_music21
from tests.outside.schemas import musicxml_schema
from tests.writers.mei_schema import faults

NS = {"m": "http://www.music-encoding.org/ns/mei"}
HEADING = (
    made.HEADING.replace("title", "source A = Print\nsource B = Copy\nsource C = Leaf\neditor EB = E. B.\ntitle")
    + 'metre C\nkey D minor\nmark T = "t" trill, after\nmark M = "x" mordent, above\n'
)
ANTHOLOGY = sorted((Path(__file__).parents[2] / "fixtures" / "anthology").rglob("[0-9]*.intav"))


def forms_of(music: str, heading: str = HEADING) -> tuple[Score, Apparatus]:
    voiced = spell(lead(made.resolved(music, heading)[0]))
    return notate(voiced), apparatus(voiced)


def mei(music: str, heading: str = HEADING) -> etree._Element:
    """The archive's form, which must be valid."""
    score, acts = forms_of(music, heading)
    document = write_mei_forms(cast_off(score), acts).archive
    assert faults(document) == []
    return etree.fromstring(document)


def found(root: etree._Element, path: str) -> int:
    return len(root.xpath(path, namespaces=NS))  # type: ignore[arg-type]


#: Typed bar → what the archive's form must hold, once.
MARKUP = {
    '| 1=4:3!4:5"a\n"a EB: digits': [
        "//m:choice[m:corr[@resp='#editor-EB']/m:note[@tab.course='4'][@tab.fret='3']]"
        "/m:sic/m:note[@tab.course='4'][@tab.fret='5'][not(@xml:id)]"
    ],
    "| 1=3:2!4:2": ["//m:choice[m:corr/m:note[@tab.course='3']]/m:sic/m:note[@tab.course='4']"],
    "| 1=3:2,2:1!": ["//m:supplied[@reason='omitted']/m:note[@xml:id='t-b1e1c2']"],
    "| 1=3:2!?": ["//m:supplied[@reason='illegible']/m:note[@xml:id='t-b1e1c3']"],
    "| 1=3:2!*": ["//m:supplied[@reason='lost']/m:note[@xml:id='t-b1e1c3']"],
    "| 1=3:2?": ["//m:unclear[@cert='low']/m:note[@xml:id='t-b1e1c3']"],
    "| 1=3:2,!2:1": ["//m:tabGrp/m:choice[m:corr[not(*)]]/m:sic/m:note[@tab.course='2'][@tab.fret='1']"],
    "| 2=3:2 !2:1,!1:0 !1:3": [  # what is left out takes no time
        "//m:tabGrp[@xml:id='g-b1e1']/following-sibling::m:choice[1]"
        "[m:corr[not(*)]]/m:sic/m:tabGrp[@dur='2'][m:note[@tab.course='2']]/m:note[@tab.course='1']",
        "//m:layer/m:choice[2][m:corr[not(*)]]/m:sic/m:tabGrp/m:note[@tab.fret='3']",
    ],
    "| 2=!3:2 2=2:1": [
        "//m:choice[m:corr[not(*)]][following-sibling::*[1][@xml:id='g-b1e2']]/m:sic/m:tabGrp[@dur='2']/m:note"
    ],
    "| 1=3:?": ["//m:tabGrp/m:gap[@xml:id='t-b1e1u1'][@reason='illegible']"],
    "| 1=3:*": ["//m:tabGrp/m:gap[@xml:id='t-b1e1u1'][@reason='lost']"],
    "| 1=?:2": ["//m:unclear[@reason='illegible']/m:note[@tab.fret='2']"],
    '| 1=4:3"a\n"a !B 4:5': [
        "//m:app[m:lem/m:note[@xml:id='t-b1e1c4']]/m:rdg[@source='#source-B']/m:note[@tab.course='4'][@tab.fret='5']"
    ],
    '| 1=4:3!4:5"a\n"a !B 4:3\n"a !C smudged': [
        "//m:app/m:lem/m:choice/m:sic",
        "//m:app/m:rdg[@source='#source-B']/m:note[@tab.fret='3']",
        "//m:app/m:rdg[@source='#source-C'][@label='smudged'][not(*)]",
        "//m:app",
    ],
    "| 2=3:2 2!4=3:1": [
        "//m:choice[m:corr/m:tabGrp[@dur='2']/m:tabDurSym]/m:sic/m:tabGrp[@dur='4']/m:tabDurSym",
    ],
    "| 2=3:2 2!=3:1": ["//m:choice[m:corr/m:tabGrp/m:tabDurSym]/m:sic/m:tabGrp[not(m:tabDurSym)]/m:note"],
    "| 2=3:2 !4=3:1": ["//m:choice[m:corr/m:tabGrp[not(m:tabDurSym)]]/m:sic/m:tabGrp[@dur='4']/m:tabDurSym"],
    "| 2=3:2 2!*=3:1": ["//m:sic/m:tabGrp/m:gap[@reason='lost']"],
    "| 2=3:2 ?=3:1": ["//m:tabGrp[@xml:id='g-b1e2']/m:gap[@reason='illegible']"],
    '| 1"a=3:1\n"a !B 2': ["//m:app[m:lem/m:tabGrp[@dur='1']]/m:rdg/m:tabGrp[@dur='2']/m:tabDurSym"],
    "| 1=3:2'T!": ["//m:supplied[@reason='omitted']/m:ornam[contains(@startid, 't-b1e1c3')]"],
    "| 1=3:2'T?": ["//m:unclear/m:ornam[contains(@startid, 't-b1e1c3')]"],
    "| 1=3:2'!T": ["//m:choice/m:sic/m:ornam[normalize-space()='t']"],
    "| 1=3:2'T!M": ["//m:choice[m:corr/m:ornam[normalize-space()='t']]/m:sic/m:ornam[normalize-space()='x']"],
    "| 2=3:2 _!3:3": ["//m:supplied/m:slur[@endid='#t-b1e2c3']"],
    "| 2=3:2 _?3:3": ["//m:unclear/m:slur[@endid='#t-b1e2c3']"],
    "| 2=3:2 !_3:3": ["//m:choice/m:sic/m:slur[@endid='#t-b1e2c3']"],
    "| 2=3:2 !| 3:3": [
        "//m:layer/m:choice[preceding-sibling::m:tabGrp[@xml:id='g-b1e1']]/m:sic/m:barLine[@form='single']"
    ],
    '| 1=3:2 |!"a\n"a EB: none': ["//m:annot[contains(@type, 'apparatus')][@resp='#editor-EB'][contains(., 'none')]"],
    "gap 2 bars, torn\n| 1=3:2": ["//m:gap[@reason='lost'][@extent='2 bars'][following-sibling::m:measure]"],
    "| 2=3:2 3:0\n! 1=3:2 4=3:0": [
        "//m:layer/m:choice[m:corr/m:tabGrp[@xml:id='g-b1e1']]/m:sic[count(m:tabGrp)=2]/m:tabGrp[@dur='1']",
    ],
    "| 2=3:2 3:0\n!B 2=3:2 ?": ["//m:rdg/m:tabGrp[not(m:note)]/m:gap[@reason='illegible']"],
    "| 2=3:2 3:0\n!B 2.=3:2 - 4=3:0 !| ||": [
        "//m:layer/m:app[m:lem/m:tabGrp[@xml:id='g-b1e1']]/m:rdg[@source='#source-B'][m:space]/m:tabGrp[@dots='1']",
    ],
    '| 2=1:0"a 3:2\n"a > octave up': ["//m:annot[contains(@type, 'octave-restored')][contains(@plist, '#n-b1e1c1')]"],
}


@pytest.mark.parametrize(("music", "paths"), MARKUP.items(), ids=[music.split("\n", 1)[0] for music in MARKUP])
def test_each_act_as_markup(music: str, paths: list[str]) -> None:
    root = mei(music)
    for path in paths:
        assert found(root, path) == 1, etree.tostring(root.find(".//{*}section"), encoding="unicode")


def test_signs_are_drawn_from_the_declared_stem() -> None:
    """``stems plain = 2``: a minim has no hook, so a semiquaver has three, which an engraver draws for a 16th."""
    root = mei("| 16!8=3:2", HEADING + "stems plain = 2\n")
    assert found(root, "//m:corr/m:tabGrp[@dur='16']") == 1
    assert found(root, "//m:sic/m:tabGrp[@dur='8']") == 1


def test_the_declaration_and_those_who_answer_for_it() -> None:
    root = mei('| 1=4:3!4:5"a\n"a EB: digits')
    assert found(root, "//m:encodingDesc/m:editorialDecl/m:correction/m:p[contains(., '1 sign emended')]") == 1
    assert found(root, "//m:editorialDecl/m:interpretation/m:p") == 1
    assert found(root, "//m:editor[@xml:id='editor-EB']") == 1


def test_lines_of_a_singers_copy() -> None:
    """A supplied note of a vocal line is marked in the copy, in which it stands."""
    from pipeline.edition.copies import copy_of, moved_as_asked  # noqa: PLC0415
    from pipeline.model.options import Options  # noqa: PLC0415
    from pipeline.source.read import song_of  # noqa: PLC0415

    heading = HEADING + "layer v = Canto, clef C1, 1 flat\n"
    voiced = spell(lead(made.resolved("| 1=3:2\nv 2=D5! E?", heading)[0]))
    options = Options()
    copied = copy_of(moved_as_asked(voiced, song_of(voiced.sounding).value, options), options)
    document = write_mei_forms(cast_off(copied), apparatus(voiced)).archive
    assert faults(document) == []
    root = etree.fromstring(document)
    assert found(root, "//m:supplied[@reason='omitted']/m:note[@xml:id='v-b1n1']") == 1
    assert found(root, "//m:unclear/m:note[@xml:id='v-b1n2']") == 1


def anthology(path: Path) -> tuple[Score, Apparatus]:
    heading = tuple(
        SourceText.of(str(each), each.read_text(encoding="utf-8"))
        for folder in (path.parent.parent, path.parent)
        for each in [folder / "heading.intav"]
        if each.exists()
    )
    voiced = spell(lead(sounding_piece(SourceText.of(path.name, path.read_text(encoding="utf-8")), heading).value))
    return notate(voiced), apparatus(voiced)


@pytest.mark.parametrize("path", ANTHOLOGY, ids=lambda path: path.stem)
def test_the_anthology_for_an_archive(path: Path) -> None:
    """Valid; and what the engraver is given is what it always was."""
    score, acts = anthology(path)
    forms = write_mei_forms(cast_off(score), acts)
    assert faults(forms.archive) == []
    assert forms.drawn == write_mei(cast_off(score))


def _loads(document: str) -> None:
    toolkit = verovio.toolkit()
    assert toolkit.loadData(document)
    assert "t-b1e1c" in toolkit.renderToSVG(1)


@pytest.mark.parametrize("name", ["01-toccata", "07-bergamasca", "04-allemande"])
def test_the_archive_can_be_drawn_by_others(name: str) -> None:
    """In a process of its own: the engraver never comes back from some documents."""
    score, acts = anthology(next(path for path in ANTHOLOGY if path.stem == name))
    document = write_mei_forms(cast_off(score), acts).archive.decode()
    worker = multiprocessing.get_context("spawn").Process(target=_loads, args=(document,))
    worker.start()
    worker.join(60)
    alive = worker.is_alive()
    worker.kill()
    assert not alive
    assert worker.exitcode == 0


# --- MusicXML -----------------------------------------------------------------------------------------------


def musicxml(music: str, heading: str = HEADING) -> etree._Element:
    document = write_musicxml(*forms_of(music, heading))
    root = etree.fromstring(document)
    schema = musicxml_schema()
    assert schema.validate(root), schema.error_log
    return root


@pytest.mark.parametrize(
    ("music", "path", "count"),
    [
        ("| 1=4:3!4:5", "//note[@id='t-b1e1c4'][level='emended'][contains(footnote, '5 in the source; read 3')]", 1),
        ("| 1=4:3!4:5", "//note[@id='n-b1e1c4'][level='emended']", 1),
        ("| 1=3:2,2:1!", "//note[@id='t-b1e1c2']/level[@bracket='yes'][.='supplied']", 1),
        ('| 2=1:0"a 3:2\n"a > octave up', "//note[@id='n-b1e1c1'][level='fixed by the editor']", 1),
        ('| 1=3:2 |!"a\n"a EB: none', "//barline[bar-style='dashed'][level='added'][footnote='none']", 2),
        ("| 1=3:2 |?\n| 1=3:2", "//measure[@number='1']/barline[bar-style='regular'][level='doubtful']", 2),
        ("| 1=3:2", "//level | //footnote", 0),
    ],
)
def test_notes_and_bar_lines_say_what_was_done(music: str, path: str, count: int) -> None:
    assert found(musicxml(music), path) == count


@pytest.mark.parametrize("name", ["01-toccata", "07-bergamasca", "04-allemande"])
def test_readers_hear_the_same(name: str) -> None:
    score, acts = anthology(next(path for path in ANTHOLOGY if path.stem == name))
    with_acts, without = write_musicxml(score, acts), write_musicxml(score)
    assert with_acts != without
    assert differences(heard_by_music21(without), heard_by_music21(with_acts)) == []
    assert heads_by_partitura(without) == heads_by_partitura(with_acts)


def test_every_kind_of_entry_occurs_in_the_anthology() -> None:
    """But for questions, which a fault of the other collection asks: what is asked depends on the weights."""
    paths = (*ANTHOLOGY, ANTHOLOGY[0].parents[2] / "faulty" / "reading.intav")
    kinds = {entry.kind for path in paths for entry in anthology(path)[1].entries}
    assert kinds == set(Kind)
