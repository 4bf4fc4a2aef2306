"""A hands-free assistant for the walk round an aircraft before flight.

Sound comes in at `hearing`, becomes meaning in `language`, moves the conversation in `walk`, is written in `journal`
before anyone is told of it, and goes out again as speech in `speaking`.  The tool reports; a person decides.
"""

__version__ = "0.1.0"
