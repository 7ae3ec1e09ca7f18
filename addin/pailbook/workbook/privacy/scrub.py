"""Words about others in a file's parts that are not cells: texts, attributes, paragraphs whose words are split."""

from __future__ import annotations

import re
from typing import Any

from lxml import etree

from pailbook.workbook.privacy.parcel import local
from pailbook.workbook.privacy.words import Words, together

_UNIQUE = ("name", "displayName", "uniqueName", "styleName")  # attributes that must not be blank
_HEADER_CODE = re.compile(r'&"[^"]*"|&K[0-9A-Fa-f+-]{6}|&\d{1,3}|&.', re.DOTALL)


def all_text(root: Any, skip: str = "") -> str:
    """All texts and attribute values of a tree, without those in elements of that name."""
    found: list[str] = []
    for element in _outside(root, skip):
        found += element.attrib.values()
        found += [element.text or "", element.tail or ""]
    return together(found)


def scrub_tree(root: Any, words: Words, skip: str = "") -> int:
    """Blank each text and attribute with words about others; a paragraph as a whole. Returns how many."""
    count = 0
    for paragraph in root.iter("{*}p"):
        texts = list(paragraph.iter("{*}t"))
        if words.found("".join(element.text or "" for element in texts)):
            count += 1
            for element in texts:
                element.text = ""
    for element in _outside(root, skip):
        for name, value in list(element.attrib.items()):
            if words.found(value):
                count += 1
                bare = etree.QName(name).localname
                if bare == "formatCode":
                    element.set(name, "General")
                else:
                    element.set(name, f"{local(element)} {count}" if bare in _UNIQUE else "")
        if element.text and words.found(element.text):
            count += 1
            element.text = ""
    return count


def _outside(root: Any, skip: str) -> list[Any]:
    """The elements of a tree without those within elements of that name, in order."""
    found, waiting = [], [root]
    while waiting:
        element = waiting.pop()
        if not isinstance(element.tag, str) or (skip and local(element) == skip):
            continue
        found.append(element)
        waiting += reversed(element)
    return found


def header_text(text: str) -> str:
    """What a header or footer prints, without the codes that set its look and may part a word."""
    return _HEADER_CODE.sub("", text)
