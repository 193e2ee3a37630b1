"""What stands half typed in a line is kept as it is typed, on screens and in the questions before them alike."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from textual import on
from textual.timer import Timer
from textual.widgets import Input

from partsbin.screens.staying import Staying

if TYPE_CHECKING:
    from partsbin.screens.app import PartsbinApp

_KEPT_WITHIN = 0.5
"""Seconds until what was typed is in the file."""


class TypingKept(Staying):
    """Mixed into what has an entry line; ``half_typed`` says under which name what is kept, None for nothing."""

    keeping: Timer | None = None

    @property
    def desk(self) -> PartsbinApp:
        """The program."""
        return cast("PartsbinApp", self.app)

    def half_typed(self) -> dict[str, str | None]:
        """Return what stands in the line, by the name it is kept under."""
        raise NotImplementedError

    @on(Input.Changed)
    def typed(self) -> None:
        """Keep what is typed as it is typed: what comes within moments together, so that no key waits for a disk."""
        if self.keeping is None:
            self.keeping = self.set_timer(_KEPT_WITHIN, self.keep_typed)

    def keep_typed(self) -> None:
        """Keep what stands in the line."""
        self.keeping = None
        self.desk.drafts.keep(self.desk.operator, self.half_typed())
