"""The kind of contract that pyproject.toml holds for every room: what it may import, and nothing else.

It looks at what a room's own files import; what the rooms below import is theirs. The standard library is free but for
what `never` names.
"""

from __future__ import annotations

import sys
from typing import Any

from grimp import ImportGraph
from importlinter import Contract, ContractCheck, fields, output


class RoomContract(Contract):
    """`room` is a package, `may_import` packages of ours and of others, `never` parts of the standard library."""

    type_name = "room"
    room = fields.StringField()
    may_import = fields.SetField(subfield=fields.StringField(), required=False, default=set())
    never = fields.SetField(subfield=fields.StringField(), required=False, default=set())

    def check(self, graph: ImportGraph, verbose: bool) -> ContractCheck:
        found = sorted(
            (module, imported)
            for module in graph.modules
            if _within(module, self.room)
            for imported in graph.find_modules_directly_imported_by(module)
            if not self._may(imported)
        )
        return ContractCheck(kept=not found, metadata={"imports": found})

    def _may(self, module: str) -> bool:
        if _within(module, self.room) or any(_within(module, allowed) for allowed in self.may_import):
            return True
        top = module.partition(".")[0]
        return top in sys.stdlib_module_names and top not in self.never

    def render_broken_contract(self, check: ContractCheck) -> None:
        imports: Any = check.metadata["imports"]
        for module, imported in imports:
            output.print_error(f"{module} imports {imported}", bold=False)


def _within(module: str, package: Any) -> bool:
    return module == package or module.startswith(f"{package}.")
