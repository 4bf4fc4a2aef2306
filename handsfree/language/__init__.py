"""Words and what they mean: grammars, phrases, numbers, spelling.  Knows nothing of sound, checklists or walks."""
