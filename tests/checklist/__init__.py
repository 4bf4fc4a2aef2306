"""The checklist room."""
