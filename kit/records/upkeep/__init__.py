"""Backup and restore, bringing people in, and erasing on request."""
