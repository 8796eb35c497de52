"""The fields of a page's form, as a browser would send them."""

from __future__ import annotations

from html.parser import HTMLParser


class Form(HTMLParser):
    """The fields of a page's last form with their values, as a browser would send them; buttons are not pressed."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self._select = self._text = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        at = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.fields = {}
        elif tag == "input" and "name" in at and (at.get("type") != "checkbox" or "checked" in at):
            self.fields[at["name"]] = at.get("value", "on" if at.get("type") == "checkbox" else "")
        elif tag == "select":
            self._select = at["name"]
        elif tag == "option" and self._select and ("selected" in at or self._select not in self.fields):
            self.fields[self._select] = at["value"]
        elif tag == "textarea":
            self._text = at["name"]
            self.fields[self._text] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            self._select = ""
        if tag == "textarea":
            self._text = ""

    def handle_data(self, data: str) -> None:
        if self._text:
            self.fields[self._text] += data
