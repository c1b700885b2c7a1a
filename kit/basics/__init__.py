"""Errors, quantities, the words of the trade, and where files live."""
