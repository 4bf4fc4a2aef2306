"""Practice: exercises with planted scenes, attempts, scores."""
