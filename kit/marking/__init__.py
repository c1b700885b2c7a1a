"""What a question, a slip and an outcome are; reading an answer; marking it. Pure: it saves nothing."""

from kit.marking.marker import mark
from kit.marking.page import page_form

__all__ = ["mark", "page_form"]
