"""The apprentice's pages in other languages: a folder with a catalogue each, and how to read it."""

from kit.languages.language import ENGLISH, Language, catalogue_file, codes, load, noted

__all__ = ["ENGLISH", "Language", "catalogue_file", "codes", "load", "noted"]
