"""The conversation as a pure state machine: no clock, no files, no sound."""
