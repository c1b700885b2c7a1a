"""Scripts, style and JupyterLab settings that a page loads; and where they are."""

from pathlib import Path

FOLDER = Path(__file__).resolve().parent
LAB = FOLDER / "lab"
