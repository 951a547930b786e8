"""What is given away: the wheel is whole without the checkout, the source distribution holds what git holds."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import tarfile
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PIECE = "longneck 1\ntitle Trial\ninstrument theorbo in A\n\n| 1=7,3:0 |||\n"


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a wheel and a source distribution, made as any installer makes them."""
    folder = tmp_path_factory.mktemp("dist")
    code = "import sys, hatchling.build as b; b.build_wheel(sys.argv[1]); b.build_sdist(sys.argv[1])"
    subprocess.run([sys.executable, "-c", code, str(folder)], cwd=ROOT, check=True, capture_output=True)
    return folder


def test_the_wheel_holds_schemas_workflow_and_licences(built: Path) -> None:
    with zipfile.ZipFile(next(built.glob("*.whl"))) as wheel:
        names = wheel.namelist()
        metadata = wheel.read(next(name for name in names if name.endswith(".dist-info/METADATA"))).decode()
    for folder, there in (("schemas", "schemas"), ("workflow", "fixtures/workflow")):
        wanted = {file.name for file in (ROOT / there).iterdir() if file.is_file()}
        assert {name.rpartition("/")[2] for name in names if name.startswith(f"pipeline/{folder}/")} == wanted
    assert "License-Expression: MIT" in metadata
    licences = [name for name in names if ".dist-info/licenses/" in name]
    assert len(licences) == 2, "the program's own, and that of the text faces"
    assert not [name for name in names if name.startswith(("tests/", "out/"))]


def test_the_source_distribution_holds_tests_fixtures_and_schemas(built: Path) -> None:
    with tarfile.open(next(built.glob("*.tar.gz"))) as archive:
        rooms = {name.split("/")[1] for name in archive.getnames()}
    assert {"README.md", "DEVELOPERS.md", "pyproject.toml", "pipeline", "schemas", "tests", "fixtures"} <= rooms


def test_the_wheel_builds_an_edition_in_another_folder(built: Path, tmp_path: Path) -> None:
    """Installed into an environment of its own, which borrows only the libraries."""
    place = tmp_path / "env"
    venv.create(place, with_pip=False)
    (site,) = (place / "lib").glob("python*/site-packages")
    with zipfile.ZipFile(next(built.glob("*.whl"))) as wheel:
        wheel.extractall(site)  # what an installer does with a wheel of pure Python
    paths = [path for path in sys.path if path.endswith("site-packages")] or [sysconfig.get_path("purelib")]
    (site / "borrowed.pth").write_text("\n".join(paths) + "\n", encoding="utf-8")
    (tmp_path / "trial.intav").write_text(PIECE, encoding="utf-8")
    python = str(place / "bin" / "python")
    where = subprocess.run(
        [python, "-c", "import pipeline; print(pipeline.__file__)"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    assert where.stdout.startswith(str(site))
    done = subprocess.run(
        [python, "-m", "pipeline", "build", "trial.intav"], cwd=tmp_path, capture_output=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, b"")
    assert (tmp_path / "out" / "trial" / "edition-001.svg").is_file()


def test_pip_installs_it_with_its_own_libraries(built: Path, tmp_path: Path) -> None:
    """As on a clean machine, and used from another folder; first the wheel, then the source distribution in its place.
    Needs the package index that `.ci/run` needs."""
    place = tmp_path / "env"
    venv.create(place, with_pip=True)
    for kind, more in (("*.whl", ()), ("*.tar.gz", ("--no-deps", "--force-reinstall"))):
        _installed(place, next(built.glob(kind)), more)
        out = tmp_path / kind[-2:]
        out.mkdir()
        (out / "trial.intav").write_text(PIECE, encoding="utf-8")
        command = [str(place / "bin" / "longneck"), "build", "trial.intav", "--pdf", "--midi"]
        done = subprocess.run(command, cwd=out, env=_clean(), capture_output=True, check=False)
        assert (done.returncode, done.stderr) == (0, b"")
        names = {path.name for path in (out / "out" / "trial").iterdir()}
        assert {"edition-001.svg", "edition.musicxml", "edition.mei", "edition.pdf", "build.json"} <= names


def _installed(place: Path, file: Path, more: tuple[str, ...]) -> None:
    quiet = ("--quiet", "--disable-pip-version-check", "--no-compile", "--timeout", "10")
    pip = [str(place / "bin" / "pip"), "install", *quiet, *more, str(file)]
    done = subprocess.run(pip, cwd=place, env=_clean(), capture_output=True, text=True, check=False)
    if done.returncode and "LONGNECK_INDEX" not in os.environ:
        pytest.skip(f"pip finds no package index: {done.stderr.strip()[-200:]}")
    assert done.returncode == 0, done.stderr


def _clean() -> dict[str, str]:
    return {name: value for name, value in os.environ.items() if name not in ("PYTHONPATH", "PYTHONHOME")}
