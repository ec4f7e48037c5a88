// Settings of windows: where flow may begin, go on and end, each with hysteresis or a choice of gears.
import { GEARS } from "./choices.ts";
import { choice, number, optional, type SettingNode } from "./table.ts";

const OUTSIDE = "flow outside this window is what breaks parts; common practice, no source";
const CHATTER = "keeps the valves from chattering at an edge";
const BEGIN = "flow may begin at and above this";
const STOP = "flow stops above this";
const BACK = "how far it must come back inside before flow may begin again";

/** Window on engine speed. */
export function engineWindow(): SettingNode[] {
  const low =
    "never below 2000 rpm; below 3000 rpm only when acknowledged: much charge per cycle (common practice, no source)";
  const high = "well under the rev limiter: a cut leaves unburnt charge (common practice, no source)";
  return [
    number("open", "Rpm", [2000, 14000, 3500], BEGIN, low),
    number("close", "Rpm", [2500, 15000, 6700], STOP, high),
    number("hysteresis", "Rpm", [20, 1000, 100], BACK, CHATTER),
  ];
}

function roadWindow(): SettingNode[] {
  return [
    number("open", "DeciKmh", [0, 4000, 250], BEGIN, OUTSIDE),
    number("close", "DeciKmh", [10, 6000, 3000], STOP, OUTSIDE),
    number("hysteresis", "DeciKmh", [5, 500, 20], BACK, CHATTER),
  ];
}

function manifoldWindow(): SettingNode[] {
  return [
    number("open", "DeciKpa", [100, 5000, 850], BEGIN, OUTSIDE),
    number("close", "DeciKpa", [200, 6000, 1100], STOP, OUTSIDE),
    number("hysteresis", "DeciKpa", [5, 500, 20], BACK, CHATTER),
  ];
}

/** The windows that can be left out: road speed, manifold pressure, gears. */
export function otherWindows(): SettingNode[] {
  return [
    optional("roadSpeed", "window on road speed; needs `road`", roadWindow()),
    optional("manifold", "window on manifold pressure; needs `manifold`", manifoldWindow()),
    optional("gears", "which gears may be in; needs `gearbox`", [
      choice("lowest", GEARS, "first", "lowest gear in which flow may begin or go on"),
      choice("highest", GEARS, "fourth", "highest gear in which flow may begin or go on"),
    ]),
  ];
}
