"""What can be measured or seen."""

from __future__ import annotations

from ice_maker.complaints import OPENS, TURNS
from ice_maker.made_up import between, chances
from ice_maker.places import ISOLATED, LIVE
from probewright.packs import Between, Shows, Table, Test, invented

LIVE_PROBES = (
    "Fix the probes to their terminals while the plug is out; plug in, read, unplug, and only then take them off.",
    "Water near mains: nothing wet is powered, and nobody stands on a wet floor.",
)
MOVING = ("The ejector turns with force: nothing but your eyes goes near the mould.",)

_VOLTAGES = (
    Test("outlet_voltage", "Voltage at the outlet", "voltage", (LIVE,), "behind", invented(2.0),
         (Between("ice_maker", "outlet", "neutral"),), unit="V", measures="supply_voltage", instrument="multimeter",
         steps=("Read at the free half of the outlet.",), cautions=LIVE_PROBES),
    Test("plug_voltage", "Voltage at the ice maker's plug", "voltage", (LIVE,), "module", invented(3.0),
         (Between("ice_maker", "plug", "neutral"),), unit="V", instrument="multimeter",
         steps=("Read between the two line terminals of the plug.",), cautions=LIVE_PROBES),
    Test("heater_feed_voltage", "Voltage at the mould heater during a harvest", "voltage", (LIVE,), "module",
         invented(4.0), (Between("ice_maker", "harvest_feed", "neutral"),), unit="V", command="harvest",
         instrument="multimeter", steps=("Start a harvest at the control, and read before it ends.",),
         cautions=LIVE_PROBES + MOVING),
    Test("valve_feed_voltage", "Voltage at the water valve during a fill", "voltage", (LIVE,), "behind",
         invented(4.0), (Between("ice_maker", "fill_feed", "neutral"),), unit="V", command="fill",
         instrument="multimeter", steps=("Start a fill at the control, and read within its few seconds.",),
         cautions=LIVE_PROBES),
)  # fmt: skip

_RESISTANCES = (
    Test("heater_resistance", "Resistance of the mould heater", "resistance", (ISOLATED,), "module", invented(3.0),
         (Between("ice_maker", "heater_feed", "neutral", apart=("cutout",)),), unit="ohm", instrument="multimeter",
         steps=("Pull the heater's lead off the cut-out, and read from it to the neutral terminal.",)),
    Test("cutout_continuity", "Continuity of the thermal cut-out", "continuity", (ISOLATED,), "module", invented(2.0),
         (Between("ice_maker", "harvest_feed", "heater_feed", apart=("heater",)),), outcomes=("closed", "open"),
         instrument="multimeter", steps=("Pull one lead off the cut-out, and try between its terminals.",)),
    Test("motor_resistance", "Resistance of the motor", "resistance", (ISOLATED,), "module", invented(3.0),
         (Between("ice_maker", "harvest_feed", "neutral", apart=("cutout",)),), unit="ohm", instrument="multimeter",
         steps=("Pull the motor's plug, and read in it.",)),
    Test("valve_resistance", "Resistance of the water valve's coil", "resistance", (ISOLATED,), "behind", invented(3.0),
         (Between("ice_maker", "fill_feed", "neutral"),), unit="ohm", instrument="multimeter",
         steps=("Pull the valve's plug, and read between its terminals.",)),
)  # fmt: skip

_SEEN_LIVE = (
    Test("mould_warmth", "Warmth of the mould during a harvest", "seen", (LIVE,), "compartment", invented(4.0),
         (Shows("ice_maker", "heater", "current", (between(0.8, 1.1),), ("cold", "warm")),), command="harvest",
         outcomes=("warm", "cold"), cautions=MOVING,
         steps=("Start a harvest, and look whether frost on the mould melts within two minutes.",)),
    Test("ejector_motion", "Motion of the ejector during a harvest", "seen", (LIVE,), "compartment", invented(4.0),
         (Table(chances(turns=0.99, still=0.01), {"gear_stripped": chances(turns=0.03, still=0.97)},
                without=((TURNS, "still"),)),), command="harvest", outcomes=("turns", "still"), cautions=MOVING,
         steps=("Take the ice out of the mould with the plug pulled; then start a harvest, and watch the ejector.",)),
    Test("fill_stream", "Water at the fill tube during a fill", "seen", (LIVE,), "compartment", invented(3.0),
         (Table(chances(full=0.97, thin=0.02, none=0.01),
                {"strainer_blocked": chances(full=0.05, thin=0.75, none=0.2),
                 "water_shut_off": chances(full=0.01, thin=0.04, none=0.95),
                 "fill_tube_frozen": chances(full=0.02, thin=0.18, none=0.8)},
                without=((OPENS, "none"),)),), command="fill", outcomes=("full", "thin", "none"),
         steps=("Start a fill, and catch the water in a cup.",), cautions=LIVE_PROBES[1:]),
)  # fmt: skip

_SEEN_DEAD = (
    Test("arm_position", "Position of the shut-off arm", "seen", (ISOLATED, LIVE), "compartment", invented(0.5),
         (Table(chances(down=0.99, up=0.01), {"arm_up": chances(down=0.02, up=0.98)}),), outcomes=("down", "up"),
         steps=("Look whether the arm is raised, or held up by ice.",)),
    Test("fill_tube", "Ice in the fill tube", "seen", (ISOLATED,), "compartment", invented(2.0),
         (Table(chances(clear=0.98, ice=0.02), {"fill_tube_frozen": chances(clear=0.05, ice=0.95)}),),
         outcomes=("clear", "ice"), steps=("Look into the fill tube with a light.",)),
    Test("fill_tube_drip", "Drip from the fill tube", "seen", (LIVE,), "compartment", invented(4.0),
         (Table(chances(dry=0.98, drips=0.02), {"valve_leaks": chances(dry=0.08, drips=0.92)}),),
         outcomes=("dry", "drips"), steps=("Hold a dry cloth under the fill tube for some minutes, with no fill on.",)),
    Test("water_line", "Water at the refrigerator's inlet", "seen", (ISOLATED,), "behind", invented(5.0),
         (Table(chances(strong=0.98, weak=0.02), {"water_shut_off": chances(strong=0.02, weak=0.98)}),),
         outcomes=("strong", "weak"), steps=("Undo the line at the valve, and open the water into a bucket.",),
         cautions=("The plug stays out until everything is dry again.",)),
    Test("wiring_condition", "Condition of the wiring and its plugs", "seen", (ISOLATED,), "module", invented(2.0),
         (Table(chances(dry=0.985, wet=0.01, scorched=0.005),
                {"valve_leaks": chances(dry=0.85, wet=0.145, scorched=0.005),
                 "harness_open": chances(dry=0.7, wet=0.1, scorched=0.2)}),), outcomes=("dry", "wet", "scorched"),
         steps=("Look along harness and plugs for water, ice, browning and melted insulation.",)),
    Test("mould_insulation", "Insulation of the mould heater", "seen", (ISOLATED,), "module", invented(4.0),
         (Table(chances(passes=0.99, fails=0.01), {"heater_leaks": chances(passes=0.02, fails=0.98)}),),
         outcomes=("passes", "fails"), instrument="insulation_tester",
         steps=("Pull both leads of the heater, and test from them to the mould by the tester's manual.",),
         cautions=("The tester puts hundreds of volts on its probes: touch neither until it is discharged.",)),
)  # fmt: skip

TESTS = (*_VOLTAGES, *_RESISTANCES, *_SEEN_LIVE, *_SEEN_DEAD)
