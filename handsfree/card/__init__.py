"""A checklist on paper: a pocket card, and a sheet of what can be said."""
