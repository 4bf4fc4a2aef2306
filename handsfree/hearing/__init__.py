"""Sound in, meaning out: the microphone, recordings, the recogniser, and the decision what was meant."""
