"""The wheel works in an empty environment outside the checkout; commands start fast; what is written is nobody
else's."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
import sysconfig
import tomllib
from collections.abc import Sequence
from pathlib import Path

import pytest

from intake.settings import PROJECT

HEAVY = ("scipy", "cv2", "onnxruntime", "PIL", "flask", "jinja2", "ezdxf", "reportlab", "shapely", "alembic")


def run(*command: str | Path, cwd: Path, timeout: int = 900) -> subprocess.CompletedProcess[str]:
    environ = {k: v for k, v in os.environ.items() if not k.startswith(("INTAKE_", "PYTHON"))}
    done = subprocess.run(
        command, cwd=cwd, env=environ, capture_output=True, text=True, timeout=timeout, check=False
    )
    assert done.returncode == 0, f"{command}: {done.stdout}{done.stderr}"
    return done


def copy_of_the_tree(to: Path) -> Path:
    """The tracked files, with whatever they lead to: nothing of an earlier build gets into the wheel."""
    for name in run("git", "ls-files", cwd=PROJECT).stdout.splitlines():
        source, target = PROJECT / name, to / name
        target.parent.mkdir(parents=True, exist_ok=True)
        if source.is_dir():
            shutil.copytree(source, target)
        elif source.exists() and not name.startswith("tests/"):
            shutil.copy(source, target)
    return to


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The console script of a fresh environment with the wheel. The packages that it needs are those of this
    environment; that they install from the lock is what deploy/setup does."""
    folder = tmp_path_factory.mktemp("installed")
    tree = copy_of_the_tree(folder / "tree")
    pip = (sys.executable, "-m", "pip", "-q", "--disable-pip-version-check")
    run(*pip, "wheel", "--no-deps", "--no-build-isolation", "--no-index", "-w", folder, tree, cwd=folder)
    shutil.rmtree(tree)
    run(sys.executable, "-m", "venv", "--without-pip", folder / "venv", cwd=folder)
    python = folder / "venv" / "bin" / "python"
    (wheel,) = folder.glob("*.whl")
    run(*pip, "--python", python, "install", "--no-deps", "--no-index", wheel, cwd=folder)
    version = f"python{sys.version_info.major}.{sys.version_info.minor}"
    packages = folder / "venv" / "lib" / version / "site-packages"
    # A path in a .pth file is searched, but the .pth files in it are not run: not the checkout's own intake.
    (packages / "packages-of-the-checkout.pth").write_text(sysconfig.get_paths()["purelib"] + "\n")
    return folder / "venv" / "bin" / "intake"


@pytest.mark.long
def test_the_demo_runs_from_the_wheel_far_from_any_checkout(installed: Path, tmp_path: Path) -> None:
    where = run(
        installed.parent / "python", "-c", "import intake; print(intake.__file__)", cwd=tmp_path
    ).stdout
    assert Path(where.strip()).is_relative_to(installed.parent.parent)
    said = run(installed, "demo", "--no-serve", cwd=tmp_path).stdout
    assert "Tom Brearley" in said and "1. " in said
    assert (tmp_path / "demo-data" / "intake.sqlite3").exists()
    rows = run(installed, "jobs", "--data", "demo-data", cwd=tmp_path).stdout
    assert "Tom Brearley" in rows
    run(installed, "guide", "--out", "guide", cwd=tmp_path)
    assert (tmp_path / "guide" / "measuring-sheet.pdf").read_bytes().startswith(b"%PDF")
    assert run(installed, "--version", cwd=tmp_path).stdout.startswith("intake ")


def test_every_file_of_the_package_goes_into_the_wheel() -> None:
    """Weights of a new kind were forgotten once: what is tracked and no Python must fit a pattern of package-data."""
    package_data = tomllib.loads((PROJECT / "pyproject.toml").read_text())["tool"]["setuptools"][
        "package-data"
    ]["intake"]
    fits = {path for pattern in package_data for path in (PROJECT / "intake").glob(pattern)}
    tracked = run("git", "ls-files", "intake", cwd=PROJECT).stdout.split()
    files = [PROJECT / name for name in tracked if not name.endswith(".py") and (PROJECT / name).is_file()]
    assert len(files) > 20
    assert [path for path in files if path not in fits] == []
    assert {p.name for p in fits} >= {"kitchen.yaml", "letter.html", "04-brearley.eml"}


@pytest.mark.parametrize(
    ("command", "left"),
    [
        (["--help"], (*HEAVY, "sqlalchemy")),
        (["jobs"], (*HEAVY, "intake.model.word", "intake.store.letters")),
        (["outbox"], HEAVY),
    ],
)
def test_short_commands_load_little(command: list[str], left: Sequence[str], tmp_path: Path) -> None:
    """0.3 s cannot be held on a busy machine; what takes the time is what is imported."""
    prepare = "from intake.cli import main; main(['jobs', '--data', 'd'])"
    run(sys.executable, "-c", prepare, cwd=tmp_path)
    code = (
        "import sys\nfrom intake.cli import main\n"
        f"try: main({command!r} + ([] if '--help' in {command!r} else ['--data', 'd']))\n"
        "except SystemExit: pass\n"
        f"sys.stderr.write(' '.join(m for m in {left!r} if m in sys.modules))"
    )
    assert run(sys.executable, "-c", code, cwd=tmp_path).stderr == ""


def test_nothing_that_is_written_can_be_read_by_strangers(tmp_path: Path) -> None:
    code = "import os; os.umask(0o022); from intake.cli import main; "
    run(
        sys.executable,
        "-c",
        code + "main(['collect', '--folder', 'mail', '--data', 'd'])",
        cwd=_with_mail(tmp_path),
    )
    run(sys.executable, "-c", code + "main(['backup', '--out', 'b.zip', '--data', 'd'])", cwd=tmp_path)
    found = [tmp_path / "d", tmp_path / "b.zip", *(tmp_path / "d").rglob("*")]
    assert len(found) > 6
    assert [path for path in found if stat.S_IMODE(path.stat().st_mode) & 0o077] == []


def test_a_data_folder_that_was_open_is_closed(tmp_path: Path) -> None:
    (tmp_path / "d").mkdir(mode=0o755)
    (tmp_path / "d").chmod(0o755)
    run(sys.executable, "-m", "intake.cli", "jobs", "--data", "d", cwd=tmp_path)
    assert stat.S_IMODE((tmp_path / "d").stat().st_mode) == 0o750


def _with_mail(folder: Path) -> Path:
    (folder / "mail").mkdir()
    (folder / "mail" / "1.eml").write_bytes(b"From: a@a.example\r\nSubject: Kitchen\r\n\r\nOur kitchen.\r\n")
    return folder
