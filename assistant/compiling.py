"""Corpus folder -> the parts of a snapshot. Slow beside a warm start: for building only."""

from __future__ import annotations

import csv
from pathlib import Path

import msgspec

from assistant.corpus.build import build
from assistant.corpus.corpus import Corpus
from assistant.corpus.problems import CorpusError, Problem
from assistant.kinds.care import compile_rules
from assistant.kinds.compile import compile_cues, kinds
from assistant.question.classes import compile_classes
from assistant.question.cues import CueError
from assistant.question.understand import make_lexicon
from assistant.retrieval.index import build as build_index
from assistant.retrieval.passages import passages
from assistant.snapshot import Found, Head, encode


def compile_parts(folder: Path) -> tuple[bytes, bytes, bytes]:
    """The encoded parts: head, passages with index, all foods. Raises CorpusError."""
    corpus = build(folder)
    try:
        forms = kinds()
        book = compile_cues(forms)
    except CueError as error:
        raise CorpusError(f"assistant/kinds: {error}") from error
    care, faults = compile_rules(tuple(corpus.care.values()), corpus.care_phrases)
    if faults:
        corpus = msgspec.structs.replace(
            corpus, problems=(*corpus.problems, *(_fault(corpus, *fault) for fault in faults))
        )
    every = _foods(folder)
    found = passages(corpus)
    words = {word for _, name in every for word in name.lower().replace(",", " ").split()}
    words.update(word for passage in found for word in passage.text.split())
    head = Head(
        corpus=corpus,
        lexicon=make_lexicon(corpus, book, words),
        care=care,
        kinds=tuple((form.kind, form.about) for form in forms),
    )
    return encode(head), encode(Found(tuple(found), build_index(found))), encode(every)


def check(folder: Path) -> list[Problem]:
    """Everything wrong with a corpus, in the order of files and lines. Raises CorpusError."""
    corpus = build(folder)
    _, faults = compile_rules(tuple(corpus.care.values()), corpus.care_phrases)
    _, amiss = compile_classes(corpus.classes.values())
    classes = [
        Problem(corpus.classes[ident].file, corpus.classes[ident].line, message, ident)
        for ident, message in amiss
    ]
    return sorted([*corpus.problems, *(_fault(corpus, *fault) for fault in faults), *classes])


def _fault(corpus: Corpus, rule: str, message: str) -> Problem:
    record = corpus.care[rule]
    return Problem(record.file, record.line, message, rule)


def _foods(folder: Path) -> tuple[tuple[str, str], ...]:
    with (folder / "foods.csv").open(encoding="utf-8", newline="") as stream:
        return tuple((row[0], row[1]) for row in csv.reader(stream) if row and row[0] != "code")
