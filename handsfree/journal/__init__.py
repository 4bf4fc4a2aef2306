"""The log of a walk: event types, the append-only writer and the reader."""
