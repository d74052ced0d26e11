"""Syntax errors of the YAML library in the words of someone who writes a sequence."""

from __future__ import annotations

import re

from ruamel.yaml.error import MarkedYAMLError

from sequences.tree import shorten

_TOKENS = {
    "the node content": "a value",
    "<block end>": "the end of this block",
    "<block mapping start>": "a mapping",
    "<block sequence start>": "a list",
    "<stream end>": "the end of the file",
    "<document end>": "the end of the document",
    "<document start>": "the start of a document",
    "<scalar>": "a value",
    "<anchor>": "an anchor",
    "<alias>": "an alias",
    "<tag>": "a tag",
    "<directive>": "a directive",
}


def explain(error: MarkedYAMLError) -> tuple[int, int, str, str]:
    """Line and column (from 1), what was found, and what was expected."""
    problem = str(error.problem or error.context or "something that is not YAML")
    mark = error.problem_mark or error.context_mark
    found, expected, at_start = _explained(problem)
    if at_start and error.context_mark is not None:
        mark = error.context_mark
    line, column = (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)
    return line, column, shorten(found, 100), expected


_EXPLAINED = [
    ("mapping values are not allowed", "':' where no key can stand",
     "quotes around a text that holds ': '", False),
    ("unexpected end of stream", "a quote that is never closed", "the same quote at its end", True),
    ("character '\\t' that cannot start", "a tab", "spaces for indentation", False),
    ("<block end>", "an entry out of line", "entries of one block in the same column", False),
    ("could not find expected ':'", "a key without ':'", "a key, a colon, a space and a value",
     True),
]  # fmt: skip
"""What the library says, what was found, what was expected, whether to point at the beginning."""


def _explained(problem: str) -> tuple[str, str, bool]:
    """Found, expected, and whether the place is where the construct began."""
    for words, found, expected, at_start in _EXPLAINED:
        if words in problem:
            return found, expected, at_start
    if character := re.match(r"found character (.+) that cannot start any token", problem):
        found = f"the character {character[1]}"
        return found, "quotes around a text that begins with it", False
    if parts := re.match(r"expected (.+?), but (?:got|found) (.+)", problem):
        return _plain(parts[2]), _plain(parts[1]), False
    return _plain(problem.removeprefix("found ")), "YAML 1.2", False


def _plain(text: str) -> str:
    for token, words in _TOKENS.items():
        text = text.replace(f"'{token}'", words).replace(token, words)
    return text
