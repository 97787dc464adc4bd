"""What a held load may weigh and how well its test is known; ours where no source is named."""

from evenground.sourced import Sourced

__all__ = [
    "ADULT_YEARS",
    "AGREES_WITHIN",
    "BODY_KG_SD",
    "FIRST_KG",
    "LOAD_AHEAD_SD_MM",
    "MINOR_KG",
    "MOST_KG",
    "MOST_SHARE",
    "PAIR_SD_MM",
]

FIRST_KG = Sourced(1.0, "kg", "ours: the first mass, held close to the chest")
MINOR_KG = Sourced(1.0, "kg", "ours: a minor, or a player whose year of birth is not known, holds no more")
MOST_KG = Sourced(9.0, "kg", "ours: below the 20 lb plate, which moves the balance by a seventh of a foot")
MOST_SHARE = Sourced(0.10, "", "ours: no more than a tenth of the player's own mass")
ADULT_YEARS = Sourced(18.0, "years", "ours: counted by the year of birth, so the last year counts as minor")
LOAD_AHEAD_SD_MM = Sourced(15.0, "mm", "ours: a tape from the heels to the middle of a mass at the chest")
BODY_KG_SD = Sourced(0.5, "kg", "ours: clothes, shoes and the day")
PAIR_SD_MM = Sourced(
    12.3,
    "mm",
    "ours: sqrt(2) times 8.7 mm, the SEM of the mean fore-aft position over 10 s in open plate data of 14 "
    "young adults who stepped on anew; for fewer than three pairs",
)
AGREES_WITHIN = Sourced(
    1.0 / 3.0, "", "ours: agreement is the whole interval within a third of the prediction"
)
