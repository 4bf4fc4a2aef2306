"""The checklist room: a checklist file as data, what may be said at each item, and what is wrong with it."""
