"""A checklist ready to be walked."""

from __future__ import annotations

from handsfree.checklist.loading import load
from handsfree.checklist.models import Checklist, Practice
from handsfree.checklist.phrases import Phrasebook
from handsfree.drill.exercise import Exercise, Scene, load_exercise
from handsfree.journal.reader import CHECKLIST_NAME, EXERCISE_NAME, Journal
from handsfree.language.grammars import Grammars
from handsfree.languages import language
from handsfree.walk.course import Course, Interruption, Sight
from handsfree.walk.listening import Listening
from handsfree.walk.machine import Walk


class Book:
    """Its conversation and its vocabularies."""

    def __init__(self, checklist: Checklist, grammars: Grammars | None = None, course: Course | None = None) -> None:
        """``course`` = what somebody practises with."""
        self.checklist = checklist
        self.course = course
        spoken = language(checklist.language)
        self.grammars = grammars or spoken.grammars
        self.words = spoken.words
        self.tongue = spoken.tongue
        self.phrasebook = Phrasebook(checklist, self.grammars, course.practice if course else "")
        self.listening = Listening(checklist, self.phrasebook)
        self.walk = Walk(checklist, self.listening.choices, course, self.words)


def open_book(journal: Journal) -> Book:
    """The checklist, and what was practised with, as they were when the walk of this log began."""
    checklist = load(journal.folder / CHECKLIST_NAME, journal.language)
    return Book(checklist, course=course_in(journal, checklist))


def course_in(journal: Journal, checklist: Checklist) -> Course | None:
    """What was practised with in a log; None = it is of a walk round a real aircraft."""
    opened = journal.opened
    if opened is None or not opened.practice:
        return None
    exercise = load_exercise(journal.folder / EXERCISE_NAME, checklist) if opened.exercise else None
    return course_of(opened.practice, exercise)


def course_of(practice: Practice, exercise: Exercise | None) -> Course:
    """What practice adds to a walk; without an exercise only how much is said."""
    if exercise is None:
        return Course(practice)
    sights = {scene.id: _sight(scene) for scene in exercise.scenes}
    zones = dict.fromkeys(scene.zone for scene in exercise.scenes if scene.zone)
    return Course(
        practice,
        exercise.setting,
        at_items={scene.item: sights[scene.id] for scene in exercise.scenes if scene.item},
        in_zones={zone: tuple(sights[scene.id] for scene in exercise.scenes if scene.zone == zone) for zone in zones},
        interruptions={one.at: Interruption(one.kind, one.say) for one in exercise.interruptions},
    )


def _sight(scene: Scene) -> Sight:
    return Sight(scene.id, scene.see, scene.truth, scene.findings, scene.difficulty)
