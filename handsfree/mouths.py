"""Ways of speaking other than the voice itself."""

from __future__ import annotations

from handsfree.session import ToneKind


class Silent:
    """Says nothing: for typed walks, whose words stand on the screen."""

    def say(self, text: str) -> float:
        """Say nothing."""
        del text
        return 0.0

    def tone(self, kind: ToneKind) -> None:
        """Sound nothing."""

    def pace(self, *, slow: bool) -> None:
        """Change nothing."""
