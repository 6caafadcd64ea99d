"""Every kind of fault with what it means, read off the constructors that make them, so that the list is never stale."""

from __future__ import annotations

import ast
import inspect
from functools import cache
from types import ModuleType

from .. import errors
from . import problems


@cache
def faults() -> dict[str, str]:
    """Return the meaning of every fault by its code, in order of the codes."""
    found: dict[str, list[str]] = {}
    for module in (errors, problems):
        for code, meaning in _faults_of(module):
            if meaning not in found.setdefault(code, []):
                found[code].append(meaning)
    return {code: " ".join(meanings) for code, meanings in sorted(found.items())}


def _faults_of(module: ModuleType) -> list[tuple[str, str]]:
    found = []
    for function in ast.parse(inspect.getsource(module)).body:
        if not isinstance(function, ast.FunctionDef):
            continue
        for call in ast.walk(function):
            if isinstance(call, ast.Call) and getattr(call.func, "id", "") in ("ScoreError", "RequestError"):
                code = call.args[0]
                if isinstance(code, ast.Constant) and isinstance(code.value, str):
                    found.append((code.value, (ast.get_docstring(function) or "").split("\n")[0]))
    return found
