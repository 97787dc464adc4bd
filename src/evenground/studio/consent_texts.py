"""What players and guardians agree to, word for word; a changed text gets a new version, old ones stay."""

from dataclasses import dataclass

from evenground.records.models import ConsentKind

__all__ = ["TEXTS", "ConsentText", "current_text"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsentText:
    """A text that somebody agrees to. `version` is what the consent keeps."""

    kind: ConsentKind
    version: str
    title: str
    text: str


TEXTS = (
    ConsentText(
        kind=ConsentKind.MEASURING,
        version="measuring-1",
        title="Measuring",
        text=(
            "This studio measures body, hands, feet and stance and keeps the figures to fit a setup. They "
            "stay in this studio's records. I may have them handed out or erased at any time."
        ),
    ),
    ConsentText(
        kind=ConsentKind.PHOTOS,
        version="photos-1",
        title="Photos",
        text=(
            "This studio takes photos of hands and posture to measure from them. Place and time are removed. "
            "They stay in this studio's records and are deleted when I ask."
        ),
    ),
    ConsentText(
        kind=ConsentKind.MAIL,
        version="mail-1",
        title="Mail",
        text=("This studio sends the setup card to the address I gave. A minor's card goes to the guardian."),
    ),
    ConsentText(
        kind=ConsentKind.STUDY,
        version="study-1",
        title="Study",
        text=(
            "My figures, without name, contact or photo, may be used together with those of other players "
            "to learn how well the measurements hold."
        ),
    ),
)


def current_text(kind: ConsentKind) -> ConsentText:
    """The newest text of a kind."""
    return next(text for text in reversed(TEXTS) if text.kind == kind)
