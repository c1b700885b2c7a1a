"""Who is who: roles, keys, and finding one person."""
