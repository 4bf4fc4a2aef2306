"""A whole walk that anyone can watch: a synthesised inspector answers the prompts."""
