"""The demo: an invented crew at an invented smokehouse."""
