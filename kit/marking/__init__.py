"""What a question, a slip and an outcome are; reading an answer; marking it. Pure: it saves nothing."""

from kit.marking.guide import Help, help_for, tries
from kit.marking.marker import mark
from kit.marking.page import page_form

__all__ = ["Help", "help_for", "mark", "page_form", "tries"]
