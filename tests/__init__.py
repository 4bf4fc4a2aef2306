"""The tests, readable as a specification: one folder a room."""
