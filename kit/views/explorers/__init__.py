"""What the explorers show: one module a lesson, each explorer a pure function of its settings."""
