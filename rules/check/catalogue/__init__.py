"""The rules, one a module; `all_rules` finds them."""

from __future__ import annotations

from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from rules.check.rule import Rule


@cache
def all_rules() -> tuple[Rule, ...]:
    """Return every rule of the catalogue in the order of their ids."""
    modules = (import_module(f"{__name__}.{info.name}") for info in iter_modules(__path__))
    return tuple(sorted((module.RULE for module in modules), key=lambda rule: rule.id))
