"""Other ways to hear the same sounds, as somebody would build them in an afternoon: for comparison only."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from handsfree.bench.peers.sphinx import Sphinx
from handsfree.bench.peers.vosk_as_published import FreeVosk, PlainVosk
from handsfree.bench.trial import Listener

PEERS: Mapping[str, Callable[[Path], Listener]] = {
    "vosk with a phrase list": PlainVosk,
    "vosk, nearest phrase": FreeVosk,
    "pocketsphinx with a grammar": lambda _model: Sphinx(),
}
"""By the names that reports give them; each is made from the folder of the speech model, which PocketSphinx brings
itself.  Making one raises BenchError when its library is not installed."""
