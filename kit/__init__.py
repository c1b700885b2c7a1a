"""Teaching workbook and assessment kit for a fish smokehouse apprenticeship.

Importing ``kit`` is quick: heavy libraries load where they are used.
"""

__version__ = "0.1.0"
