"""The command `smokehouse`."""
