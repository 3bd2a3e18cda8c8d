"""What to mind before cutting, by process; in our own words."""

from ...part.stock import Process

__all__ = ["FIRST", "cautions"]

FIRST = (
    "Local building, electrical and fire codes, the machine's and the material's own instructions, "
    "and the judgement of licensed people come before anything on this page."
)

GENERAL = (
    "This page was made from geometry alone. It says nothing about strength, load, heat or wiring.",
    "Measure the sheet's thickness and a test cut first; cut one of each piece before the rest.",
    "Cut a known square or bar and measure it before you trust the scale.",
)

BY_PROCESS: dict[Process, tuple[str, ...]] = {
    "laser": (
        "Know the material before the beam meets it; leave out any plastic without a label.",
        "Gives off halogen gas, which harms people and rusts the machine: never cut PVC, vinyl, "
        "artificial leather or anything else with chlorine, fluorine or bromine.",
        "Flares up: leave out foamed polystyrene and polypropylene.",
        "Melts, drips and burns on: leave out ABS, HDPE and thick polycarbonate.",
        "Fibres and unknown resins: leave out fibreglass and coated carbon fibre.",
        "Never leave the machine while it cuts. Keep the right extinguisher within reach, the bed "
        "free of scraps, and watch for some minutes afterwards.",
        "Run the extraction, let it clear before you open the lid, and keep the enclosure closed; "
        "an open beam needs goggles rated for its wavelength.",
    ),
    "router": (
        "Clamp the sheet and the pieces that come free of it; hold nothing by hand.",
        "Wear eye and hearing protection and run the dust extraction.",
        "Keep gloves, loose sleeves and long hair away from the spindle.",
    ),
    "knife": (
        "Cut away from your hand, along a steel rule, in several light passes with a fresh blade.",
        "Guard the blade when it rests and dispose of old ones in a closed box.",
    ),
}

LAMP = (
    "Near a lamp or any other source of heat, the maker's clearances count, not the gaps drawn "
    "here. Use LED sources, leave ventilation open, and have mains work done or checked by a "
    "licensed person.",
    "On a stage or in an exhibition, material may need proof of flame resistance. Ask the venue.",
)


def cautions(process: Process) -> tuple[str, ...]:
    """Return the cautions for a process, the one that comes before all others first."""
    return (FIRST, *BY_PROCESS[process], *GENERAL, *LAMP)
