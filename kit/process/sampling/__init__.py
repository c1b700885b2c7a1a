"""Bones, lots, detection and inspection: what a look and a sample can tell."""
