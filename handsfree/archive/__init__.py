"""Many logs at once: what a class misses, how it learns, and what is misheard."""
