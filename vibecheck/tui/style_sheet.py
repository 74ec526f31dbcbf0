"""A style sheet that reads each of its sources once for each set of colors.

The toolkit reads every source anew whenever the theme is set and whenever a screen brings styles of
its own: twice before the first screen stands. What is read depends on nothing but the text, where
it stands and the colors, so it is kept.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.css.stylesheet import Stylesheet

if TYPE_CHECKING:
    from textual.css.model import RuleSet
    from textual.css.types import CSSLocation

_READ: dict[tuple[object, ...], list[RuleSet]] = {}


class KeptStyleSheet(Stylesheet):
    """The toolkit's style sheet, with what it has read before."""

    def reparse(self) -> None:
        """Bring together what is read of each source, with the colors of now.

        Raises
        ------
        StylesheetError family : a source that cannot be read; the rules stay as they were.
        """
        self.parse()

    def _parse_rules(
        self, css: str, read_from: CSSLocation, is_default_rules: bool = False,
        tie_breaker: int = 0, scope: str = "",
    ) -> list[RuleSet]:
        colors = frozenset(self._variables.items())
        key = (css, read_from, is_default_rules, tie_breaker, scope, colors)
        if key not in _READ:
            _READ[key] = super()._parse_rules(css, read_from, is_default_rules, tie_breaker, scope)
        return _READ[key]
