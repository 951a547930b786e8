"""One browser for the whole session, and the pages that it looks at."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from pipeline.folder.batch import build_all
from pipeline.folder.files import discover
from pipeline.model.artefacts import USUAL, Form
from pipeline.model.options import Options
from tests.browser.machine import asked_for, browser, complaints, missing, sized

FIXTURES = Path(__file__).parent.parent.parent / "fixtures"
#: A piece with everything that a page can show, and names that try to become markup.
EVIL = "<img src=x onerror=window.broken=1> & </script><script>window.broken=2</script>"
PIECE = f"""\
longneck 1 ; </script><script>window.broken=3</script> <!-- <script>
title {EVIL}
composer <b>Nobody</b> </title><svg onload=window.broken=4>
source A = Trial book, f. 4r "><script>window.broken=5</script>
source B = Trial manuscript
facsimile 4r = scans/4r.png
facsimile 4v = scans/broken.png
facsimile 5r = scans/gone.png
editor EB = E. B.
instrument theorbo in A
metre C
key D minor
mark T = "</text><script>" a trill, after
layer v = Canto <i>x</i>, clef C1, 1 flat

&4r
section </text><script>window.broken=6</script>
| 4=X,4:2,3:3 3:5!3:4"a 4!8=3:3 3:2?
v 2=D5 C#
1 <s>Du- ri_</s>
"a EB: digits confused <script>window.broken=7</script>
"a !B 3:5
| 2=7,4:0,3:0 1:0"b 3:2'T
v 2=D5 C
1 pian- ti
"b > octave up
&4v
| 4=8:1,4:2 1:2 2:3
v 1=D5
1 <u>là</u>
| 1=X,4:2,3:3 |||
v 1=D5
1 <script>alert(1)</script>
"""


@pytest.fixture(scope="session")
def driver(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    if why := missing():
        pytest.skip(why)
    with browser(tmp_path_factory.mktemp("profile")) as running:
        yield running


#: A piece with an error, one that the reading asks about, and one that cannot be built.
FAULTY = ("rhythm", "reading", "no-version")


@pytest.fixture(scope="session")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a run over the piece above and some of the anthology and the faulty pieces."""
    folder = tmp_path_factory.mktemp("collection")
    (folder / ".git").mkdir()
    (folder / "scans").mkdir()
    (folder / "all signs #1.intav").write_text(PIECE, encoding="utf-8")
    (folder / "04-empty.intav").write_text("longneck 1\ninstrument theorbo in A\n", encoding="utf-8")
    Image.new("RGB", (300, 400), "ivory").save(folder / "scans" / "4r.png")
    (folder / "scans" / "broken.png").write_bytes((folder / "scans" / "4r.png").read_bytes()[:30])
    for name in ("anthology/theorbo/02-ground", "anthology/songs/06-aria", *(f"faulty/{name}" for name in FAULTY)):
        shutil.copy(FIXTURES / f"{name}.intav", folder)
    shutil.copytree(FIXTURES / "anthology" / "theorbo" / "images", folder / "images")
    heading = (FIXTURES / "anthology" / "heading.intav").read_text(encoding="utf-8")
    (folder / "heading.intav").write_text(heading, encoding="utf-8")
    for done in build_all(discover([folder]), folder / "out", Options(forms=(*USUAL, Form.MIDI))):
        assert not done.fault, done.fault
    return folder / "out"


@pytest.fixture
def page(driver: Any, out: Path) -> Iterator[Page]:
    """Opens pages; afterwards nothing was complained of, and nothing asked for but files of this machine."""
    sized(driver, 1400, 900)
    driver.get("about:blank")
    complaints(driver), asked_for(driver)
    yield Page(driver, out)
    driver.get("about:blank")
    assert [said for said in complaints(driver) if "ERR_FILE_NOT_FOUND" not in said] == []
    assert {address.partition(":")[0] for address in asked_for(driver)} <= {"file", "data", "about"}


class Page:
    """What the tests do with a page, in a few words."""

    def __init__(self, driver: Any, out: Path) -> None:
        self.driver, self.out = driver, out

    def open(self, name: str, at: str = "") -> None:
        """The proof page of a piece, or a page by its own name, at a place."""
        found = next(iter(self.out.rglob(f"{name}/proof.html")), self.out / name)
        self.driver.get("about:blank")
        self.driver.get(found.as_uri() + at)

    def run(self, script: str, *given: object) -> Any:
        """What a script gives back; ``arguments`` holds what is given. The page's own names can be used."""
        return self.driver.execute_script(script, *given)

    def wait(self, script: str, *given: object, seconds: float = 4.0) -> Any:
        """What a script gives back, once it is not empty or false."""
        from selenium.webdriver.support.ui import WebDriverWait  # noqa: PLC0415

        return WebDriverWait(self.driver, seconds, 0.03).until(lambda _: self.run(script, *given), script)

    def press(self, *keys: str) -> None:
        from selenium.webdriver.common.action_chains import ActionChains  # noqa: PLC0415

        for key in keys:
            ActionChains(self.driver).send_keys(key).perform()

    def click(self, script: str, *given: object) -> None:
        """Click with the mouse in the middle of the element that a script gives."""
        from selenium.webdriver.common.action_chains import ActionChains  # noqa: PLC0415

        x, y = self.run(
            f"const each = (() => {{ {script} }})(); each.scrollIntoView({{block: 'center', inline: 'center'}});"
            "const box = each.getBoundingClientRect(); return [box.left + box.width / 2, box.top + box.height / 2]",
            *given,
        )
        actions = ActionChains(self.driver)
        actions.w3c_actions.pointer_action.move_to_location(x, y)
        actions.w3c_actions.pointer_action.click()
        actions.perform()

    @property
    def chosen(self) -> str:
        return str(self.run("return now.chosen"))

    @property
    def told(self) -> str:
        return str(self.run("return document.getElementById('chosen').textContent"))
