"""Takes out of the stock's files what would lead nowhere in a handbook with fewer exercises.

The files are the stock's own, so their form is known; that nothing dangles in any new handbook is
checked afterwards, like everything else.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection

#: A link in Markdown: its text and its target.
_LINK = re.compile(r"\[([^\]]*)\]\(([^)\s]*)\)")
_SENTENCE_END = re.compile(r"(?<=[.!?]) (?=\S)")
_REFERENCES = re.compile(r"(?m)^(related|leads_to): \[(.*)\]\n")
_WORD = re.compile(r"  (?P<word>[^#:]+): (?P<targets>.+)")

#: Whether the handbook has a page, by its path without ending: "exercises/slipway".
IsThere = Callable[[str], bool]


def known_pages(exercises: Collection[str], views: Collection[str]) -> IsThere:
    """Tells which pages there are. Of exercises and lists, those given; of all others, every one,
    because goals, voice care and glossary are in every handbook."""
    there = {"exercises": exercises, "views": views}

    def is_there(page: str) -> bool:
        folder, _, name = page.rpartition("/")
        return folder not in there or name in there[folder]

    return is_there


def with_references(text: str, exercises: Collection[str]) -> str:
    """The text of an exercise, whose `related` and `leads_to` name only these exercises."""

    def shortened(found: re.Match[str]) -> str:
        names = [name for name in re.split(r",\s*", found[2]) if name in exercises]
        return f"{found[1]}: [{', '.join(names)}]\n" if names else ""

    return _REFERENCES.sub(shortened, text)


def with_field(text: str, name: str, value: str, after: str) -> str:
    """The text of an exercise with a field set: in its place, or else behind the field `after`."""
    line = f"{name}: {value}\n"
    changed, count = re.subn(rf"(?m)^{name}: .*\n", lambda _: line, text, count=1)
    if count:
        return changed
    return re.sub(rf"(?m)^{after}: .*\n", lambda found: found[0] + line, text, count=1)


def without_dangling(text: str, is_there: IsThere) -> str:
    """A text in Markdown without its links to pages that are not there. A sentence that ends with
    such a link after a colon ends before it; any other sentence with such a link is left out."""
    return "\n".join(_line(line, is_there) for line in text.split("\n"))


def _line(line: str, is_there: IsThere) -> str:
    kept = [_sentence(sentence, is_there) for sentence in _SENTENCE_END.split(line)]
    return " ".join(sentence for sentence in kept if sentence) if "](" in line else line


def _sentence(sentence: str, is_there: IsThere) -> str:
    targets = [target.removesuffix(".md") for _, target in _LINK.findall(sentence)]
    if all(map(is_there, targets)):
        return sentence
    start, colon, example = sentence.rpartition(": ")
    if colon and start.strip(": ") and _LINK.match(example) and "](" not in start:
        return f"{start}."
    return ""


def vocabulary(text: str, is_there: IsThere) -> str:
    """The text of vocabulary.yml, whose everyday words lead only to pages that are there."""
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
    """The text of views.yml without the `empty` views, whose lists of names have only these
    exercises."""
    blocks = []
    for block in re.split(r"\n\n+", text.strip()):
        slug = re.match(r"- slug: (\S+)", block)
        if slug is None or slug[1] not in empty:
            blocks.append(_named_only(block, exercises) if slug else block)
    first, *rest = blocks  # what the file is about
    rest = _without_empty_headings(rest, lambda block: block.startswith("#"))
    return "\n\n".join([first, *rest]) + "\n"


def view_names(text: str) -> list[str]:
    """The names of the views in the text of views.yml."""
    return re.findall(r"(?m)^- slug: (\S+)", text)


def _named_only(block: str, exercises: Collection[str]) -> str:
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
    """The parts without headings under which nothing is left: another heading comes next, the end,
    or a part that does not begin with `member`."""
    following = [*parts[1:], ""]
    return [
        part
        for part, after in zip(parts, following, strict=True)
        if not is_heading(part) or (after and not is_heading(after) and after.startswith(member))
    ]


def home(text: str, name: str, is_there: IsThere) -> str:
    """The text of the home page for a chorus of this name."""
    text = re.sub(
        r"(?m)^title: .*$", lambda _: f"title: {_quoted(f'Warm-ups of {name}')}", text, count=1
    )
    text = re.sub(r"This is where .*? keeps", "This is where our chorus keeps", text, count=1)
    return without_dangling(text, is_there)


def settings(text: str, name: str) -> str:
    """The text of mkdocs.yml for a chorus of this name."""
    values = {"site_name": name, "site_description": f"The warm-up handbook of {name}."}
    for field, value in values.items():
        text = with_field(text, field, _quoted(value), after="site_name")
    return text


def _quoted(text: str) -> str:
    """A text as a YAML value, for readers of every version of YAML."""
    return json.dumps(text, ensure_ascii=False)
