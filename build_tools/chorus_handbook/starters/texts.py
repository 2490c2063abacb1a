"""Removes from the stock's files all links and names of pages that a handbook with fewer exercises
does not have.

The files are the stock's own, so only the forms that occur in them are handled. The new handbook is
checked afterwards, so a link that was overlooked is found.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection

#: A link in Markdown: its text and its target.
_LINK = re.compile(r"\[([^\]]*)\]\(([^)\s]*)\)")
#: The space between two sentences.
_SENTENCE_END = re.compile(r"(?<=[.!?]) (?=\S)")
#: A line of front matter that names other exercises.
_REFERENCES = re.compile(r"(?m)^(related|leads_to): \[(.*)\]\n")
#: A line of vocabulary.yml: an everyday word and the pages that it leads to.
_WORD = re.compile(r"  (?P<word>[^#:]+): (?P<targets>.+)")

#: Whether the handbook has a page, by its path without ending: "exercises/slipway".
IsThere = Callable[[str], bool]


def known_pages(exercises: Collection[str], views: Collection[str]) -> IsThere:
    """A function that tells whether the new handbook has a page. Of exercises and views it has only
    those given; of other pages, such as goals and the glossary, all that the stock has."""
    there = {"exercises": exercises, "views": views}

    def is_there(page: str) -> bool:
        folder, _, name = page.rpartition("/")
        return folder not in there or name in there[folder]

    return is_there


def with_references(text: str, exercises: Collection[str]) -> str:
    """The text of an exercise, with all other exercises removed from `related` and `leads_to`."""

    def shortened(found: re.Match[str]) -> str:
        names = [name for name in re.split(r",\s*", found[2]) if name in exercises]
        return f"{found[1]}: [{', '.join(names)}]\n" if names else ""

    return _REFERENCES.sub(shortened, text)


def with_field(text: str, name: str, value: str, after: str) -> str:
    """The text of an exercise with another value of a field. A field that it does not have is added
    after the field `after`."""
    line = f"{name}: {value}\n"
    changed, count = re.subn(rf"(?m)^{name}: .*\n", lambda _: line, text, count=1)
    if count:
        return changed
    return re.sub(rf"(?m)^{after}: .*\n", lambda found: found[0] + line, text, count=1)


def without_dangling(text: str, is_there: IsThere) -> str:
    """A Markdown text without links to pages that are not there. If such a link is at the end of a
    sentence, after a colon, the sentence is ended before the colon; otherwise the whole sentence is
    removed."""
    return "\n".join(_line(line, is_there) for line in text.split("\n"))


def _line(line: str, is_there: IsThere) -> str:
    """A line of text without the sentences for which `_sentence` returns nothing."""
    kept = [_sentence(sentence, is_there) for sentence in _SENTENCE_END.split(line)]
    return " ".join(sentence for sentence in kept if sentence) if "](" in line else line


def _sentence(sentence: str, is_there: IsThere) -> str:
    """The sentence, if all pages that it links to are there. If not, the part before its last colon
    if only an example with the link follows that; otherwise an empty string."""
    targets = [target.removesuffix(".md") for _, target in _LINK.findall(sentence)]
    if all(map(is_there, targets)):
        return sentence
    start, colon, example = sentence.rpartition(": ")
    if colon and start.strip(": ") and _LINK.match(example) and "](" not in start:
        return f"{start}."
    return ""


def vocabulary(text: str, is_there: IsThere) -> str:
    """The text of vocabulary.yml without everyday words for pages that are not there."""
    head, heading, words = text.partition("\nwords:\n")
    lines: list[str] = []
    for line in words.splitlines():
        found = _WORD.fullmatch(line)
        if found is None:
            lines.append(line)
            continue
        targets = [one for one in re.split(r",\s*", found["targets"].strip("[]")) if is_there(one)]
        if targets:
            listed = targets[0] if len(targets) == 1 else f"[{', '.join(targets)}]"
            lines.append(f"  {found['word']}: {listed}")
    lines = _without_empty_headings(lines, lambda line: line.startswith("  #"))
    return head + heading + "\n".join([*lines, ""]) if lines else f"{head}\n"


def views(text: str, exercises: Collection[str], empty: Collection[str]) -> str:
    """The text of views.yml without the views in `empty`, and with only these exercises in the
    lists of names in the others."""
    blocks = []
    for block in re.split(r"\n\n+", text.strip()):
        slug = re.match(r"- slug: (\S+)", block)
        if slug is None or slug[1] not in empty:
            blocks.append(_named_only(block, exercises) if slug else block)
    first, *rest = blocks  # the first block is a comment about the whole file
    rest = _without_empty_headings(rest, lambda block: block.startswith("#"))
    return "\n\n".join([first, *rest]) + "\n"


def view_names(text: str) -> list[str]:
    """The names of the views in the text of views.yml."""
    return re.findall(r"(?m)^- slug: (\S+)", text)


def _named_only(block: str, exercises: Collection[str]) -> str:
    """The text of a view, with all other exercises removed from its lists of names."""
    lines = [
        line
        for line in block.split("\n")
        if not (name := re.fullmatch(r"      - ([a-z0-9-]+)", line)) or name[1] in exercises
    ]
    lines = _without_empty_headings(lines, lambda line: line.startswith("      #"), "      - ")
    return "\n".join(lines)


def _without_empty_headings(
    parts: list[str], is_heading: Callable[[str], bool], member: str = ""
) -> list[str]:
    """The parts without those headings that have nothing under them. Only parts that begin with
    `member` count as being under a heading."""
    following = [*parts[1:], ""]
    return [
        part
        for part, after in zip(parts, following, strict=True)
        if not is_heading(part) or (after and not is_heading(after) and after.startswith(member))
    ]


def home(text: str, name: str, is_there: IsThere) -> str:
    """The text of the home page for a chorus of this name, made from the stock's home page, without
    links to pages that are not there."""
    text = re.sub(
        r"(?m)^title: .*$", lambda _: f"title: {_quoted(f'Warm-ups of {name}')}", text, count=1
    )
    text = re.sub(r"This is where .*? keeps", "This is where our chorus keeps", text, count=1)
    return without_dangling(text, is_there)


def settings(text: str, name: str) -> str:
    """The text of mkdocs.yml for a chorus of this name, made from the stock's mkdocs.yml."""
    values = {"site_name": name, "site_description": f"The warm-up handbook of {name}."}
    for field, value in values.items():
        text = with_field(text, field, _quoted(value), after="site_name")
    return text


def _quoted(text: str) -> str:
    """A text as a YAML value in double quotes, which every version of YAML reads alike."""
    return json.dumps(text, ensure_ascii=False)
