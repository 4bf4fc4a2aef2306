"""Whether the noise is to blame that something was not understood.  Pure."""

from __future__ import annotations

from handsfree.hearing.settings import LoudnessSettings
from handsfree.language.heard import HeardOutcome


def too_loud(outcome: HeardOutcome, snr_db: float | None, noise_dbfs: float | None, settings: LoudnessSettings) -> bool:
    """Nothing certain was understood, and speech stood (``snr_db``), or would have stood, hardly over the noise.

    ``snr_db`` is None when nothing was heard: then a raised voice is thought of.  ``noise_dbfs`` is None
    when there is no sound.
    """
    if outcome not in ("ask", "none") or noise_dbfs is None or noise_dbfs < settings.audible_dbfs:
        return False
    return (settings.speech_dbfs - noise_dbfs if snr_db is None else snr_db) < settings.poor_snr_db
