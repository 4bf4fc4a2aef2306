"""Reading a walk back: what was found, what was never looked at, and how long it took."""
