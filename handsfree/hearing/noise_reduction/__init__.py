"""Takes noise out of the microphone's sound before it is heard."""
