"""A checklist made by questions and answers."""
