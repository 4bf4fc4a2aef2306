"""Text goes in, and comes out of a loudspeaker: prompts rendered ahead by espeak-ng, and short tones."""
