"""The commands, one module a subject; each enters its own in `app`."""
