// How what the controller drives fails: drivers, coils, valves, relay, and the car around them; what answers it, and what is left.
import { partFault as f, type PartFault } from "./part-fault.ts";

const DRIVERS: readonly PartFault[] = [
  f(
    "solenoid driver",
    "shorted: always conducts",
    "DRIVER",
    "seen at arming, and under flow whenever the pin is low, wide open in a gap of 1.1 ms twenty times a second: lockout",
    "at each try to arm its valve opens for a moment: bottle shut until the controller has armed once",
    ["DRIVER", "nitrous1 driver shorted: always conducts, at arming"],
  ),
  f(
    "solenoid driver",
    "stuck: never conducts",
    "DRIVER",
    "each driver conducts once at arming, for half a millisecond: lockout; under flow it is seen within the first pulse",
    "with a valve that opens in less than 1.5 ms it is not tried at arming: then nitrous flows without fuel for a few milliseconds",
    ["DRIVER", "fuel1 driver stuck: never conducts, at arming"],
  ),
  f(
    "solenoid driver",
    "late, or conducts now and then",
    "DRIVER",
    "judged in every millisecond of each pulse; what is wrong in more than one of seventeen adds up: lockout",
    "what is wrong more seldom is not seen",
    ["DRIVER", "fuel1 driver does not conduct in the first 11 ms of each pulse"],
  ),
  f(
    "solenoid driver",
    "conducts in every second pulse only",
    "DRIVER",
    "judged in every millisecond of each pulse, and wide open in each gap: lockout",
    "none",
    ["DRIVER", "fuel1 driver conducts in every second pulse only, in pulses"],
  ),
  f(
    "solenoid driver",
    "shorts for moments",
    "DRIVER",
    "each millisecond in which it shows adds up: lockout",
    "wide open it shows only in gaps, twenty times a second: it can take a second or two",
    ["DRIVER", "nitrous1 driver shorts for 3 ms of every 13, wide open"],
  ),
  f(
    "solenoid coil",
    "its plug chatters",
    "DRIVER",
    "each millisecond in which it shows adds up: lockout",
    "wide open it shows only in gaps, twenty times a second: it can take a second or two",
    ["DRIVER", "nitrous1 plug of the load chatters, 5 ms of every 11 without contact, wide open"],
  ),
  f(
    "solenoid driver",
    "shorted together with a sensor's fault",
    "DRIVER SENSOR",
    "the sensor trips first; the driver is looked at until the relay has opened, and its fault makes a lockout of it",
    "none",
    ["DRIVER", "nitrous1 driver shorted: always conducts, and a sensor fails with it"],
  ),
  f(
    "solenoid coil",
    "open, or unplugged",
    "DRIVER",
    "seen at arming, and under flow whenever the pin is low, wide open in a gap of 1.1 ms twenty times a second: lockout",
    "with a valve that closes in less than 3.3 ms no gap is made: wide open it shows only when the stage ends",
    ["DRIVER", "nitrous1 load unplugged, at arming"],
  ),
  f(
    "solenoid valve",
    "stuck open, or leaking",
    "",
    "no current opens it, so none closes it",
    "only a closed bottle valve stops it: test for leaks, replace valves as their maker says",
  ),
  f(
    "solenoid valve",
    "does not open for fuel, or the filter is blocked",
    "LEAN FUEL-LOW",
    "the mixture leaves its limit and trips",
    "LEAN needs a lambda sensor, and exhaust takes its time to reach it",
    ["LEAN", "mixture leaner than its limit"],
  ),
  f(
    "fuel pump, line, regulator",
    "pressure missing",
    "FUEL-LOW",
    "no flow begins; a wet stage that flows trips",
    "without a sensor nothing sees it",
    ["FUEL-LOW", "fuel pressure under its limit"],
  ),
  f(
    "bottle valve",
    "opened, and no pressure comes",
    "VALVE BOTTLE-LOW",
    "nothing flows, and after its time it trips",
    "a valve that does not shut is not seen",
    ["VALVE", "bottle valve opened and no pressure comes"],
  ),
  f(
    "bottle heater",
    "its driver shorted",
    "BOTTLE-HIGH",
    "while armed the pressure limit trips, which does not switch a shorted heater off",
    "the heater's own thermostat or pressure switch must: it is the limit, this output is not",
    ["BOTTLE-HIGH", "bottle pressure above its window"],
  ),
];

const RELAY: readonly PartFault[] = [
  f(
    "master relay",
    "contact welded",
    "RELAY",
    "supply behind the open relay at the next arming: lockout",
    "until then the drivers are the only way to off: test after every short circuit",
    ["RELAY", "relay contact welded"],
  ),
  f(
    "master relay",
    "sticks when tried",
    "KEEP-ALIVE",
    "the second way to off is tried at each arming: lockout",
    "none",
    ["KEEP-ALIVE", "relay contact sticks when tried"],
  ),
  f(
    "master relay",
    "coil or contact open",
    "KEEP-ALIVE",
    "no supply at arming: lockout; no valve can open",
    "none",
    ["KEEP-ALIVE", "relay dead: never closes"],
  ),
  f(
    "master relay",
    "contact burnt, fuse holder or wiring with resistance",
    "SUPPLY",
    "opening times follow the supply behind the relay; 2 V under the battery for 50 ms holds off; half a second, or a third time within seconds, trips",
    "less than 2 V is corrected for by the opening times, as long as 10 V are left",
    ["SUPPLY", "supply behind the relay drops by 3 V whenever it flows, as a bad contact makes it"],
  ),
  f(
    "master relay's fuse",
    "blows while flowing",
    "KEEP-ALIVE",
    "all valves close by themselves; lockout",
    "find the short before the next fuse",
    ["KEEP-ALIVE", "supply behind the relay lost while armed"],
  ),
  f("keep-alive pin", "stuck high or low", "KEEP-ALIVE", "no edges, no pump, relay open", "none", [
    "KEEP-ALIVE",
    "supply behind the relay lost while armed",
  ]),
];

const ENGINE: readonly PartFault[] = [
  f(
    "driveline",
    "wheelspin, or a broken shaft",
    "DRIVELINE RPM-WIN",
    "every stage is cut back for a time; the engine window holds off above it",
    "nothing steers: lift",
    ["DRIVELINE", "driveshaft runs away"],
  ),
  f(
    "boost control",
    "too much boost",
    "OVERBOOST MAP-WIN",
    "trip",
    "the engine's own protection comes first",
    ["OVERBOOST", "manifold pressure above its limit"],
  ),
  f("driver of the car", "forgets to lift", "TIME", "every stage and the run have a longest time", "none", [
    "TIME",
    "a stage flows for its longest time",
  ]),
];

/** All faults of outputs and of the car. */
export const OUTPUT_FAULTS: readonly PartFault[] = [...DRIVERS, ...RELAY, ...ENGINE];
