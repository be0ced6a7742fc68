"""The documents keep up with the program: every setting and command stands in them, and what they show runs."""

from __future__ import annotations

import re
import shlex
from dataclasses import fields
from pathlib import Path

import pytest

from intake.cli import _parser, main
from intake.settings import PROJECT, Settings, load_settings

DOCS = PROJECT / "docs"


def test_every_setting_is_documented_with_its_default() -> None:
    table = (DOCS / "settings.md").read_text()
    documented = dict(re.findall(r"^\| `(\w+)` \| (.+?) \|", table, re.M))
    assert set(documented) == {f.name for f in fields(Settings)}
    for field in fields(Settings):
        default = field.default
        if isinstance(default, str | int) and default != "":
            assert f"`{default}`" in documented[field.name], field.name


def test_every_command_is_documented() -> None:
    commands = _parser()._subparsers._group_actions[0].choices  # type: ignore[union-attr]
    documented = set(re.findall(r"^\| `intake (\w+)", (DOCS / "commands.md").read_text(), re.M))
    assert documented == set(commands or ())


def _shown() -> list[str]:
    """Every line of a shell block in README and docs that calls the console script."""
    lines = []
    for page in [PROJECT / "README.md", *sorted(DOCS.glob("*.md"))]:
        for block in re.findall(r"^ *```(?:sh|bash|shell)?\n(.*?)^ *```", page.read_text(), re.M | re.S):
            lines += [
                line.strip() for line in block.splitlines() if re.match(r" *(\.venv/bin/)?intake ", line)
            ]
    return sorted(set(lines))


@pytest.mark.parametrize("line", _shown())
def test_the_commands_that_the_documents_show_are_understood(line: str) -> None:
    words = shlex.split(line, comments=True)[1:]
    assert _parser().parse_args(words).run is not None


def test_the_settings_file_that_is_shipped_is_valid() -> None:
    assert isinstance(load_settings({}), Settings)


def test_the_example_settings_of_the_mailbox_page_are_valid(tmp_path: Path) -> None:
    page = (DOCS / "mailbox.md").read_text()
    (block,) = re.findall(r"```yaml\n(.*?)```", page, re.S)
    file = tmp_path / "intake.yaml"
    file.write_text(re.sub(r"^ {3}", "", block, flags=re.M))
    assert load_settings({"INTAKE_SETTINGS": str(file)}).imap_host == "mail.showroom.example"


def test_secrets_in_the_settings_file_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "intake.yaml"
    file.write_text("imap_password: hunter2\n")
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("INTAKE_SETTINGS", str(file))
        assert main(["jobs"]) == 2
    assert "INTAKE_IMAP_PASSWORD" in capsys.readouterr().err


def test_readme_opens_with_the_job_in_one_paragraph() -> None:
    title, paragraph, *_ = (PROJECT / "README.md").read_text().split("\n\n")
    assert title.startswith("# ")
    assert not paragraph.startswith(("#", "!", "-", "`"))
    assert len(paragraph) > 300


def test_links_between_documents_lead_somewhere() -> None:
    for page in [PROJECT / "README.md", PROJECT / "DEVELOPERS.md", *DOCS.rglob("*.md")]:
        for target in re.findall(r"\]\(([^)#:]+)(?:#[^)]*)?\)", page.read_text()):
            assert (page.parent / target).exists(), f"{page.name}: {target}"


def test_files_that_the_documents_name_are_there() -> None:
    names = {f"/{path.relative_to(PROJECT)}" for path in PROJECT.rglob("*.py") if ".venv" not in path.parts}
    pages = [PROJECT / "README.md", PROJECT / "DEVELOPERS.md", *sorted(DOCS.glob("*.md"))]
    named = {(page.name, file) for page in pages for file in re.findall(r"`([\w/]+\.py)`", page.read_text())}
    assert named
    assert [each for each in sorted(named) if not any(name.endswith(f"/{each[1]}") for name in names)] == []
