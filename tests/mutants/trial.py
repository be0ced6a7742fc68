"""Trying faults: each in a process of its own, into which the changed file is loaded in place of the one on the disk.

Nothing on the disk changes. A fault that keeps its tests busy for several times their time counts as noticed; that is
processor time, so other work on the machine takes no part in it.
"""

from __future__ import annotations

import contextlib
import importlib
import importlib.util
import io
import os
import pickle
import resource
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType
from typing import Any

from tests.mutants.faults import DOMAIN, ROOT, Fault
from tests.mutants.reach import Reach, Watch

TESTS = {
    "inspection": ("inspection",),
    "lengths": (
        "reading/test_forms.py",
        "reading/test_notation.py",
        "reading/test_plausible.py",
        "checklist",
        "room/test_slips.py",
        "reading/test_inference.py",
        "words",
    ),
    "mail": ("mail_rules",),
    "pictures": ("pictures",),
    "room": ("room",),
    "said": ("checklist", "room/test_told_heights.py", "reading/test_again.py"),
    "sketch": (
        "reading/test_again.py",
        "reading/test_at_walls.py",
        "reading/test_corner_distances.py",
        "reading/test_drawing.py",
        "reading/test_inference.py",
        "reading/test_keyed.py",
        "reading/test_meaning.py",
        "reading/test_roles.py",
        "room",
    ),
    "survey": ("checklist", "letters"),
    "words": ("words", "checklist"),
}
"""The tests of each room of the domain."""
OURS = ("intake", "tests", "fixtures")
LONGEST, LOADING_S = 4, 8
"""So many times its tests' processor time a fault may take, and what loading them takes at most."""


def tried(found: Sequence[Fault]) -> Iterator[tuple[Fault, bool]]:
    """Each fault with whether it was noticed. What the tests need of others is loaded once, before; each room's tests
    must pass without a fault."""
    assert not any(name.startswith("intake.domain") for name in sys.modules), (
        "the rules must be loaded anew each time"
    )
    known: dict[str, Reach] = {}
    for fault in found:
        if fault.room not in known:
            known[fault.room] = _reach(fault.room)
        yield fault, is_noticed(fault, known[fault.room])


def is_noticed(fault: Fault, reach: Reach) -> bool:
    """Whether a test that calls the faulty function fails, or never ends."""
    tests = reach.tests(fault.path, fault.function)
    if not tests:
        return False
    seconds = LOADING_S + LONGEST * sum(reach.takes[t] for t in tests)
    return _apart(lambda: _try(fault, tests), seconds) != 0


def _apart(do: Callable[[], int], seconds: float) -> int:
    """The exit status of that in a process of its own, which is ended after so much processor time; below 0 then."""
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_CPU, (int(seconds), int(seconds)))
        status = 1
        with contextlib.suppress(BaseException):
            status = do()
        os._exit(status)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def _try(fault: Fault, tests: Sequence[str]) -> int:
    sys.meta_path.insert(0, _InPlace(fault.module, fault.source(), fault.path))
    return _pytest(sorted({t.partition("::")[0] for t in tests}), _Only(tests))


def _reach(room: str) -> Reach:
    """What the room's tests call; raises AssertionError where one fails."""
    with tempfile.NamedTemporaryFile() as kept:
        assert _apart(lambda: _watched(room, Path(kept.name)), 3600) == 0, f"the tests of {room} fail"
        reach, modules = pickle.loads(Path(kept.name).read_bytes())
    for name in modules:
        with contextlib.suppress(Exception):
            importlib.import_module(name)
    return reach  # type: ignore[no-any-return]


def _watched(room: str, into: Path) -> int:
    watch = Watch(DOMAIN)
    watch.start()
    status = _pytest([f"tests/{place}" for place in TESTS[room]], watch)
    modules = [n for n in sys.modules if n.partition(".")[0] not in OURS]
    into.write_bytes(pickle.dumps((watch.reach(), modules)))
    return status


def _pytest(places: Sequence[str], plugin: object) -> int:
    """0 where every test passes; the first that does not ends it."""
    import hypothesis
    import pytest

    hypothesis.settings.register_profile("the same each time", derandomize=True, deadline=None)
    hypothesis.settings.load_profile("the same each time")
    quiet = io.StringIO()
    with contextlib.redirect_stdout(quiet), contextlib.redirect_stderr(quiet), contextlib.chdir(ROOT):
        marks = "not long and not browser and not postgresql and not dovecot"
        return int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-m", marks, *places], [plugin]))


@dataclass(frozen=True)
class _Only:
    """A plugin of pytest that runs these tests alone, in this order."""

    tests: Sequence[str]

    def pytest_collection_modifyitems(self, items: list[Any]) -> None:
        order = {name: n for n, name in enumerate(self.tests)}
        items[:] = sorted((i for i in items if i.nodeid in order), key=lambda i: order[i.nodeid])


class _InPlace(MetaPathFinder, Loader):
    """Loads one module from a text."""

    def __init__(self, module: str, source: str, path: Path) -> None:
        self.module, self.source, self.path = module, source, path

    def find_spec(self, name: str, path: object, target: object = None) -> ModuleSpec | None:
        if name != self.module:
            return None
        inside = [str(self.path.parent)] if self.path.stem == "__init__" else None
        return importlib.util.spec_from_file_location(
            name, self.path, loader=self, submodule_search_locations=inside
        )

    def exec_module(self, module: ModuleType) -> None:
        exec(compile(self.source, str(self.path), "exec"), module.__dict__)
