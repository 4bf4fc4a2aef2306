"""What several tests need: synthetic speech, a virtual sound card, a place with no network."""
