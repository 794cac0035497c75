"""The states in which work is done, and the places that must be opened."""

from __future__ import annotations

from probewright.packs import State, Zone, invented

ISOLATED, LIVE = "isolated", "live"

STATES = (
    State(
        ISOLATED, "Unplugged and proven dead, water shut", powered=False, gas_on=False, minutes=invented(3.0), risk=0,
        steps=("Pull the refrigerator's plug, and shut the water to it.",
               "Try the meter on a known live outlet, read nothing at the ice maker's plug, and try the meter again."),
        cautions=("The mould heater stays hot for minutes after a harvest.",),
    ),
    State(
        LIVE, "Plugged in, water open", powered=True, gas_on=False, minutes=invented(3.0), risk=1,
        steps=("Dry every terminal that may have become wet, and close every cover that no test keeps open.",
               "Open the water, look for drips, and plug the refrigerator in with dry hands."),
        cautions=("Mains and water are close to each other: dry hands, dry floor, insulated probes, one hand.",
                  "The ejector turns without warning: keep fingers, sleeves and leads out of the mould."),
    ),
)  # fmt: skip

ZONES = (
    Zone("compartment", "Freezer compartment with its door open", invented(0.0)),
    Zone("module", "Ice maker out of its brackets", invented(5.0),
         ("Take the bin out, undo the screws, and let the ice maker hang where it strains no wire.",),
         ("Edges of the mould and of the ejector are sharp.",)),
    Zone("behind", "Behind the refrigerator", invented(8.0),
         ("Pull the refrigerator straight out over a protected floor, and take off the lower rear cover.",),
         ("A refrigerator can tip over: two people move it, and nobody reaches under it.",
          "A fan behind the cover may start at any time while the refrigerator is plugged in.")),
)  # fmt: skip
