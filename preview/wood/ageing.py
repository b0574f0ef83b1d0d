"""Wood after years of daylight indoors: it goes towards another colour, quickly at first."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from preview.wood.material_types import Lab, Species


def aged(species: Species, years: float) -> Species:
    """Return a species as its boards are after `years` in daylight; as it is where its file tells nothing of ageing.

    Its colours have gone the share 1 - exp(-years / time) of the way that `Ageing` gives, an estimate of the course:
    papers give two ends.
    """
    if species.ageing is None or years <= 0:
        return species
    way = np.array(species.ageing.change) * (1 - np.exp(-years / species.ageing.years))
    heartwood, sapwood = (
        Lab(*(float(part) for part in np.array(lab) + way)) for lab in (species.heartwood, species.sapwood)
    )
    return replace(species, heartwood=heartwood, sapwood=sapwood)
