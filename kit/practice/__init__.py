"""The side of the apprentice: people on this machine, work folder, attempts, progress."""
