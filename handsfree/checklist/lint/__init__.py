"""The rules by which a checklist is judged, one file for each kind of mistake; ``linter.check`` applies them all."""
