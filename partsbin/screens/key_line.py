"""The line of keys below every screen."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.screen import Screen
from textual.widgets import Footer

Key = tuple[str, str, bool]


class KeyLine(Footer):
    """The keys that work here. It is laid out anew only where they changed: each key is a widget to be styled."""

    _standing: list[Key] | None = None

    def compose(self) -> ComposeResult:
        """Lay out the keys, and remember which."""
        if self._bindings_ready:
            self._standing = _keys(self.screen)
        yield from super().compose()

    def bindings_changed(self, screen: Screen[object]) -> None:
        """Lay out the keys that work now, unless they stand there: focus moves and lists change all the time."""
        if self._standing is None or self._standing != _keys(screen):
            super().bindings_changed(screen)


def _keys(screen: Screen[object]) -> list[Key]:
    shown = (active for active in screen.active_bindings.values() if active.binding.show)
    return [(active.binding.key, active.binding.description, active.enabled) for active in shown]
