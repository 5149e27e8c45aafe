"""What is built for others: the source archive can be tested, the wheel runs where it is alone.

Nothing is fetched: the builder comes with the extra `test`, and the libraries are this
environment's own.
"""

import os
import subprocess
import sys
import sysconfig
import tarfile
import venv
import zipfile
from pathlib import Path
from typing import NamedTuple

import pytest
from test_house import REPOSITORY, tracked_files

pytestmark = [pytest.mark.slow, pytest.mark.timeout(300)]

FOLDERS = ("capture", "decode", "analysis", "simulators")


class Built(NamedTuple):
    """The unpacked source archive, and the wheel that was made of it."""

    source: Path
    wheel: Path


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    folder = tmp_path_factory.mktemp("built")
    run(sys.executable, "-m", "build", "--no-isolation", "--outdir", folder, REPOSITORY)
    (archive,) = folder.glob("*.tar.gz")
    (wheel,) = folder.glob("*.whl")
    with tarfile.open(archive) as packed:
        packed.extractall(folder, filter="data")
    return Built(folder / archive.name.removesuffix(".tar.gz"), wheel)


@pytest.fixture(scope="module")
def python(built: Built, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An environment that holds the wheel, and sees the libraries of this one but no more.

    A line in a .pth file adds a folder without following the .pth files in it: what this
    environment has installed as editable is out of sight.
    """
    folder = tmp_path_factory.mktemp("installed")
    venv.create(folder, with_pip=False, symlinks=os.name != "nt")
    scripts = folder / ("Scripts" if os.name == "nt" else "bin")
    python = scripts / Path(sys.executable).name
    packages = Path(run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"))
    (packages / "libraries.pth").write_text(sysconfig.get_path("purelib"), "utf-8")
    run(
        sys.executable, "-m", "pip", "--python", python, "install", "--quiet",
        "--no-index", "--no-deps", "--ignore-installed", built.wheel,
    )  # fmt: skip
    return python


def test_the_source_archive_holds_every_tracked_file(built: Built) -> None:
    found = {
        path.relative_to(built.source).as_posix()
        for path in built.source.rglob("*")
        if path.is_file()
    }
    assert not set(tracked_files()) - found


def test_the_wheel_holds_the_files_of_the_four_folders_and_no_other(built: Built) -> None:
    with zipfile.ZipFile(built.wheel) as packed:
        found = {name for name in packed.namelist() if ".dist-info/" not in name}
    tracked = {
        path.relative_to(built.source).as_posix()
        for folder in FOLDERS
        for path in (built.source / folder).rglob("*")
        if path.is_file()
    }
    assert found == tracked


def test_the_installed_wheel_makes_a_station_whose_map_it_accepts(
    python: Path, tmp_path: Path
) -> None:
    where = run(python, "-c", "import capture; print(capture.__file__)", cwd=tmp_path)
    assert Path(where).is_relative_to(python.parent.parent)
    pullwatch = python.with_name("pullwatch" + python.suffix)
    run(pullwatch, "init", tmp_path / "station", cwd=tmp_path)
    run(pullwatch, "map", "check", tmp_path / "station" / "map.yaml", cwd=tmp_path)


def test_tests_of_the_source_archive_pass_against_the_installed_wheel(
    built: Built, python: Path
) -> None:
    """From a folder of their own, with the sources beside them taken out of the way."""
    for folder in FOLDERS:
        (built.source / folder).rename(built.source / f"{folder}_out_of_the_way")
    try:
        passed = run(
            python, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-n", "0",
            "tests/decode/test_decode_naming.py", "tests/decode/test_decode_channel_map.py",
            "tests/published/test_published_power.py", cwd=built.source,
        )  # fmt: skip
    finally:
        for folder in FOLDERS:
            (built.source / f"{folder}_out_of_the_way").rename(built.source / folder)
    assert " passed" in passed


def run(*command: str | Path, cwd: Path = REPOSITORY) -> str:
    """What the command printed; it must end well, and sees no folder of ours through the path."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    done = subprocess.run(
        command, cwd=cwd, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
    return done.stdout.strip()
