"""Tasks, explorers and pictures in a notebook. Wiring only."""
