"""What all tests of the screens share."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet


@pytest.fixture(scope="session", autouse=True)
def style_sheets_are_parsed_once() -> Iterator[None]:
    """All programs a worker opens share the parsed rules, which are the same: a fifth of what an opening costs."""
    parse, parsed = Stylesheet._parse_rules, {}

    def rules(sheet: Stylesheet, *args: object, **more: object) -> list[RuleSet]:
        key = (*sheet._variables.items(), *args, *more.items())
        if key not in parsed:
            parsed[key] = parse(sheet, *args, **more)
        return parsed[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", rules)
        yield
