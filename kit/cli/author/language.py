"""`smokehouse author language`: a catalogue is made or brought up to date, and what it lacks is said."""

import io
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

from babel import Locale, UnknownLocaleError
from babel.messages.catalog import Catalog
from babel.messages.pofile import PoFileError, read_po, write_po

from kit.basics.errors import BadData
from kit.cli.author.drawn_texts import drawn_template
from kit.cli.author.texts import template
from kit.languages import catalogue_file
from kit.languages.comparing import faults_of
from kit.languages.language import DRAWN

ALIKE = 0.7
"""How alike two texts are, from 0 to 1, before one is taken for the other reworded. Ours."""


@dataclass(frozen=True)
class CatalogueState:
    """What a catalogue has and lacks, each as the English it is about.

    ``changed`` are those whose English changed since they were translated; ``faulty`` pairs one with what is
    wrong with it.
    """

    texts: int
    missing: tuple[str, ...]
    changed: tuple[str, ...]
    faulty: tuple[tuple[str, str], ...]


def refresh(code: str, file: Path | None = None, *, drawn: bool = False) -> CatalogueState:
    """Write the catalogue of a language with every text there is today, and return what it lacks.

    What was translated stays. Where the English changed, the old translation stays for the translator, marked
    as fuzzy, and pages show English meanwhile. With ``drawn``: the other catalogue, of what code composes.

    Raises
    ------
    BadData
        If the code names no language, or the file there is no catalogue.
    """
    try:
        Locale.parse(code)
    except (UnknownLocaleError, ValueError):
        raise BadData("language", f"{code!r} is no code of a language", "two letters, such as pl") from None
    usual = catalogue_file(code)
    path = file or (usual.with_name(DRAWN) if drawn else usual)
    now, old = drawn_template() if drawn else template(), read_catalogue(path, code)
    now.creation_date = old.creation_date
    moved(old, now)
    old.update(now, no_fuzzy_matching=True)
    out = io.BytesIO()
    write_po(out, old, width=0, no_location=True, omit_header=False)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(out.getvalue())
    return state_of(old)


def read_catalogue(path: Path, code: str) -> Catalog:
    """Return the catalogue of a file; an empty one where there is none."""
    if not path.is_file():
        return Catalog(locale=code, project="smokehouse", charset="utf-8", fuzzy=False)
    try:
        return read_po(io.BytesIO(path.read_bytes()), locale=code, abort_invalid=True)
    except (PoFileError, ValueError) as error:
        raise BadData(str(path), f"it is no catalogue: {error}", "a .po file in UTF-8") from error


def moved(old: Catalog, now: Catalog) -> None:
    """Carry over, as fuzzy, what was translated while its English changed.

    A paragraph that only moved, or says what another one says, is taken as it is. A changed one is known by
    its key; another text by the nearest one that is no longer asked for.
    """
    told = {str(one.id): one.string for one in (*old, *old.obsolete.values()) if one.string and not one.fuzzy}
    asked = {(one.context, one.id) for one in now}
    gone = {
        (one.context, str(one.id)): one for one in old if one.string and (one.context, one.id) not in asked
    }
    keyed = {context: one for (context, _), one in gone.items() if context and "/" in context}
    for one in [one for one in now if one.id and old.get(one.id, one.context) is None]:
        if one.context and "/" in one.context and str(one.id) in told:
            old.add(one.id, told[str(one.id)], context=one.context)
            continue
        loose = [text for context, text in gone if context == one.context]
        near = get_close_matches(str(one.id), loose, n=1, cutoff=ALIKE)
        was = keyed.get(one.context or "") or (gone[one.context, near[0]] if near else None)
        if was is not None:
            old.delete(was.id, was.context)
            gone.pop((was.context, str(was.id)), None)
            old.add(one.id, was.string, context=one.context, flags=["fuzzy"], previous_id=[str(was.id)])


def state_of(catalogue: Catalog) -> CatalogueState:
    """Return what a catalogue lacks."""
    all_of_it = [one for one in catalogue if one.id]
    done = [one for one in all_of_it if one.string and not one.fuzzy]
    faulty = [(str(one.id), why) for one in done for why in faults_of(str(one.id), str(one.string))]
    return CatalogueState(
        len(all_of_it),
        tuple(str(one.id) for one in all_of_it if not one.string),
        tuple(str(one.id) for one in all_of_it if one.string and one.fuzzy),
        tuple(faulty),
    )


def state_words(state: CatalogueState, most: int = 5) -> Iterator[str]:
    """Yield the state of a catalogue, line by line, with the first of each sort named."""
    lacking = len(state.missing) + len(state.changed)
    yield f"{state.texts - lacking} of {state.texts} texts are translated."
    sorts = (
        ("missing", state.missing),
        ("changed in English since", state.changed),
        ("not as the English has it", tuple(f"{text}\n    {why}" for text, why in state.faulty)),
    )
    for what, found in sorts:
        if found:
            yield f"{what}: {len(found)}"
            yield from (f"  {text[:160]}" if "\n" not in text else f"  {text}" for text in found[:most])
