"""Where pieces are moved to, as typed: shared by the commands that move tablature."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path

from pipeline.cli.refusing import refuse
from pipeline.folder.files import NoSuchPieceError, PieceFile, discover, is_folder
from pipeline.model.interval import UNISON, Interval, Refused, parse_interval, parse_range
from pipeline.model.pitch import SpelledPitch
from pipeline.model.presets import PRESETS, Preset, find_preset


def where_to(transpose: str, voice_range: str) -> tuple[Interval, tuple[SpelledPitch, SpelledPitch] | None]:
    """The interval, or the range of a voice that decides it. Refuses both at once."""
    interval, voice = _interval(transpose), _range(voice_range)
    if transpose and voice_range:
        refuse("--transpose and --range both say where the piece goes; give one of them")
    return interval, voice


def known_instrument(name: str) -> Preset | None:
    """The instrument named; None for none. Refuses one without a known tuning."""
    if not name:
        return None
    preset = find_preset(name)
    if preset is None:
        names = [each.name for each in PRESETS]
        near = [each for each in names if each.startswith(name)] or get_close_matches(name, names, 3, 0.6)
        hint = f"perhaps {' · '.join(near)}" if near else "longneck instruments lists them"
        refuse(f"--instrument: no tuning is known for “{name}”; {hint}")
    return preset


def _interval(text: str) -> Interval:
    found = parse_interval(text) if text else UNISON
    if isinstance(found, Refused):
        refuse(f"--transpose: {found.message}; {found.hint}")
    return found


def _range(text: str) -> tuple[SpelledPitch, SpelledPitch] | None:
    found = parse_range(text) if text else None
    if isinstance(found, Refused):
        refuse(f"--range: {found.message}; {found.hint}")
    return found


def kept_file(keep: Path | None, pieces: Sequence[PieceFile]) -> PieceFile | None:
    """The text whose places are to be kept. Refuses one for several pieces."""
    if keep is None:
        return None
    if len(pieces) != 1:
        refuse("--keep goes with one piece")
    try:
        found = discover([keep])
    except NoSuchPieceError as error:
        refuse(f"--keep: {error}")
    if is_folder(keep):
        refuse("--keep names one text, not a folder")
    return found[0]
