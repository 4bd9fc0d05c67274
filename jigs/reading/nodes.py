"""The parser's events, read into nodes with their marks, every size capped before it is paid for.

The events are read directly: PyYAML's own composer recurses without a limit and expands aliases
without counting. Its pure-Python parser is used on purpose, so that messages and marks are the same
with and without libyaml.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NoReturn, TypeAlias, cast

import yaml
from yaml import events

from jigs.errors import Place, ReadingError, nearest
from jigs.reading.scalars import LONGEST_NUMBER, Scalar, kind_of, resolve

Tree: TypeAlias = "Scalar | list[Tree] | dict[str, Tree]"
Keys: TypeAlias = tuple[str | int, ...]

# Assumed caps: ten to a hundred times the largest job that we can think of.
MOST_NODES = 20_000
DEEPEST = 30
LONGEST_TEXT = 10_000
LONGEST_KEY = 200


@dataclass(frozen=True)
class Mark:
    """Line and column, both from 1, and the text that stands there (cut to one short line)."""

    line: int
    column: int
    text: str = ""


def place_of(file: str, line: int, column: int, keys: Keys) -> Place:
    """Return a Place whose key path may hold list indices."""
    # Place writes list indices as [2], which needs them as int
    return Place(file, line, column, cast("tuple[str, ...]", keys))


_REMEDIES = (
    (r"\\t", "indent with spaces, never with the tab key"),
    ("mapping values are not allowed", "one `key: value` a line; quotes around text with `: ` in"),
    ("could not find expected ':'", "a colon and a space after every key: `key: value`"),
    ("expected <block end>", "keys that belong together start in the same column"),
    (r"expected ',' or", "close the bracket, with commas between its values"),
    ("end of stream", "close the quote"),
    ("document separator", "close the quote"),
    ("escape", "single quotes around text with a backslash in"),
    ("cannot start any token", "quotes around text that starts with such a character"),
)


@dataclass
class Node:
    """One value as it stands in the file; kind is scalar, mapping or list."""

    kind: str
    mark: Mark
    value: Scalar = None
    keys: dict[str, Mark] = field(default_factory=dict)
    items: list[Node] = field(default_factory=list)


_TAG = "tag:yaml.org,2002:"
_CORE_TAGS = {
    "mapping": ("!", f"{_TAG}map"),
    "list": ("!", f"{_TAG}seq"),
    "scalar": ("!", *(f"{_TAG}{name}" for name in ("str", "int", "float", "bool", "null"))),
}


class Composer:
    """Read events into nodes. Anchored nodes are shared here and copied by the expander."""

    def __init__(self, text: str, file: str) -> None:
        self.text, self.file = text, file
        self.loader = yaml.SafeLoader(text)
        self.events: Iterator[events.Event] = iter(self.loader.get_event, None)
        self.anchors: dict[str, Node | None] = {}
        self.keys: Keys = ()
        self.mark = Mark(1, 1)
        self.nodes = 0

    def refuse_syntax(self, error: yaml.MarkedYAMLError) -> NoReturn:
        """Raise the ReadingError that says what the parser did not take."""
        problem = str(error.problem or error.context or "a syntax error")
        words = f"{error.context or ''} {problem}"
        right = next((text for sign, text in _REMEDIES if re.search(sign, words)), "`key: value`")
        spot = error.problem_mark or error.context_mark
        mark = self.mark
        if spot is not None:
            lines = self.text.splitlines()
            text = lines[spot.line].strip() if spot.line < len(lines) else ""
            mark = Mark(spot.line + 1, spot.column + 1, text[:60] or "an empty line or the end")
        self.refuse(f"this is not valid YAML: {problem}", mark, right)

    def refuse(self, problem: str, mark: Mark, right: str, found: str = "") -> NoReturn:
        place = place_of(self.file, mark.line, mark.column, self.keys)
        found = found or mark.text or "text that breaks off"
        raise ReadingError(place, problem, found, right) from None

    def document(self) -> Node | None:
        root: Node | None = None
        documents = 0
        for event in self.events:
            if isinstance(event, events.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    right = "one document in a file; take out this `---`, or use two files"
                    self.refuse("a second document starts here", self._mark(event), right)
                root = self._node(next(self.events), 1)
        return root

    def _mark(self, event: events.Event) -> Mark:
        start, end = event.start_mark, event.end_mark
        assert start is not None
        assert end is not None
        lines = self.text[start.index : min(end.index, start.index + 200)].strip().splitlines()
        text = lines[0].rstrip() if lines else ""
        shown = text if len(text) <= 60 else text[:57] + "..."
        self.mark = Mark(start.line + 1, start.column + 1, shown)
        return self.mark

    def _node(self, event: events.Event, depth: int) -> Node:
        mark = self._mark(event)
        self.nodes += 1
        if self.nodes > MOST_NODES:
            self.refuse("the file holds too many values", mark, f"at most {MOST_NODES:,}")
        if depth > DEEPEST:
            self.refuse("the file is nested too deeply", mark, f"at most {DEEPEST} levels")
        assert isinstance(event, events.NodeEvent)
        if len(event.anchor or "") > LONGEST_KEY:
            self.refuse("the name of this anchor is too long", mark, f"at most {LONGEST_KEY}")
        if isinstance(event, events.AliasEvent):
            return self._aliased(event, mark)
        if event.anchor is not None:
            self.anchors[event.anchor] = None
        if isinstance(event, events.ScalarEvent):
            node = self._scalar(event, mark)
        elif isinstance(event, events.MappingStartEvent):
            node = self._mapping(event, mark, depth)
        else:
            assert isinstance(event, events.SequenceStartEvent)
            node = self._list(event, mark, depth)
        if event.anchor is not None:
            self.anchors[event.anchor] = node
        return node

    def _aliased(self, event: events.AliasEvent, mark: Mark) -> Node:
        name = str(event.anchor)
        if name not in self.anchors:
            known = [anchor for anchor, node in self.anchors.items() if node]
            right = f"an anchor &{name} further up{nearest(name, known)}; quotes, if text is meant"
            self.refuse(f"there is no anchor '{name}' above", mark, right)
        node = self.anchors[name]
        if node is None:
            self.refuse(f"'{name}' stands for something that holds it", mark, "a value of its own")
        return node

    def _refuse_tag(self, tag: str | None, kind: str, mark: Mark) -> None:
        if tag is not None and tag not in _CORE_TAGS[kind]:
            shown = tag.replace(_TAG, "!!")[:60]
            self.refuse(f"the tag '{shown}' is not read here", mark, "the value without a tag")

    def _scalar(self, event: events.ScalarEvent, mark: Mark) -> Node:
        self._refuse_tag(event.tag, "scalar", mark)
        text = str(event.value)
        if len(text) > LONGEST_TEXT:
            right = f"at most {LONGEST_TEXT:,}"
            self.refuse("this text is too long", mark, right, f"{len(text):,} characters")
        if hidden := re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]", text):
            found = f"U+{ord(hidden[0]):04X} (written as an escape)"
            self.refuse("a character that does not print", mark, "plain text", found)
        if event.tag is None:
            return Node("scalar", mark, self._resolved(text, mark) if event.implicit[0] else text)
        if event.tag in ("!", f"{_TAG}str"):
            return Node("scalar", mark, text)
        value = self._resolved(text, mark)
        wanted = event.tag.removeprefix(_TAG)
        if wanted == "float" and type(value) is int:
            value = float(value)
        if kind_of(value) != wanted:
            self.refuse(f"the tag '!!{wanted}' does not fit", mark, "the value without a tag")
        return Node("scalar", mark, value)

    def _resolved(self, text: str, mark: Mark) -> Scalar:
        try:
            return resolve(text)
        except ValueError:
            right = f"a number of at most {LONGEST_NUMBER} characters; quotes, if text is meant"
            self.refuse("this number is too long", mark, right)

    def _list(self, event: events.SequenceStartEvent, mark: Mark, depth: int) -> Node:
        self._refuse_tag(event.tag, "list", mark)
        node = Node("list", mark)
        above = self.keys
        while not isinstance(inner := next(self.events), events.SequenceEndEvent):
            self.keys = (*above, len(node.items))
            node.items.append(self._node(inner, depth + 1))
            self.keys = above
        return node

    def _mapping(self, event: events.MappingStartEvent, mark: Mark, depth: int) -> Node:
        self._refuse_tag(event.tag, "mapping", mark)
        node = Node("mapping", mark)
        above = self.keys
        while not isinstance(inner := next(self.events), events.MappingEndEvent):
            key, key_mark = self._key(inner, node)
            self.keys = (*above, key)
            node.keys[key] = key_mark
            node.items.append(self._node(next(self.events), depth + 1))
            self.keys = above
        return node

    def _key(self, event: events.Event, node: Node) -> tuple[str, Mark]:
        mark = self._mark(event)
        if not isinstance(event, events.ScalarEvent):
            self.refuse("a key is not plain text", mark, "a word: `key: value`")
        if event.value == "<<" and event.implicit[0]:
            self.refuse("merge keys (<<) are not read here", mark, "write the keys out")
        key = self._scalar(event, mark).value
        if not isinstance(key, str):
            quoted = f'"{event.value}": ...' if event.value else "a word in front of the colon"
            self.refuse("a key is not text", mark, quoted)
        if not key or len(key) > LONGEST_KEY:
            found = f"{len(key)} characters"
            self.refuse("a key of this length", mark, f"1 to {LONGEST_KEY} characters", found)
        if key in node.keys:
            first = node.keys[key].line
            self.keys = (*self.keys, key)
            self.refuse(
                f"the key '{key}' stands twice in one mapping: lines {first} and {mark.line}",
                mark,
                f"only one of the two; the other is in line {first}",
            )
        return key, mark


class Expander:
    """Copy nodes into plain data, aliases written out, and note the marks. Counts what it makes."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.key_marks: dict[Keys, Mark] = {}
        self.value_marks: dict[Keys, Mark] = {}

    def tree(self, node: Node, keys: Keys, key_mark: Mark | None) -> Tree:
        self.value_marks[keys] = node.mark
        if key_mark:
            self.key_marks[keys] = key_mark
        if len(self.value_marks) > MOST_NODES or len(keys) >= DEEPEST:
            mark = key_mark or node.mark
            raise ReadingError(
                place_of(self.file, mark.line, mark.column, keys),
                "the aliases stand for too much",
                f"over {MOST_NODES:,} values or {DEEPEST} levels, written out",
                "the values themselves, without aliases",
            )
        if node.kind == "mapping":
            pairs = zip(node.keys.items(), node.items, strict=True)
            return {key: self.tree(item, (*keys, key), mark) for (key, mark), item in pairs}
        if node.kind == "list":
            return [self.tree(item, (*keys, i), None) for i, item in enumerate(node.items)]
        return node.value
