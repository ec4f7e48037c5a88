// Settings of the analog sensors: two calibration points, the voltages that are plausible, and the limits that hang on each.

import type { UnitSuffix } from "../model/units.ts";
import { YES_NO } from "./choices.ts";
import { choice, group, number, optional, type SettingNode } from "./table.ts";

const SHEET = "from the sensor's data sheet";
const FULL_THROTTLE = "only at full throttle (common practice, no source)";

function plausible(low = 250, high = 4750): SettingNode[] {
  const reason =
    "an open or shorted wire must fall outside; about 5 % and 95 % of supply is common practice, no source";
  return [
    number("plausibleLow", "Mv", [50, 4000, low], "below this the sensor counts as failed", reason),
    number("plausibleHigh", "Mv", [1000, 4950, high], "above this the sensor counts as failed", reason),
  ];
}

/** What a two-point sensor measures: word for it, unit, and the largest and example values of its two points. */
interface Span {
  readonly what: string;
  readonly unit: UnitSuffix;
  readonly low: readonly [number, number];
  readonly high: readonly [number, number, number];
}

/** Calibration of a sensor whose voltage rises with what it measures. The core expects these six words first. */
function calibration(span: Span): SettingNode[] {
  const [lowMax, lowExample] = span.low;
  return [
    number("lowPoint", "Mv", [100, 4500, 500], `voltage at the low calibration ${span.what}`, SHEET),
    number("low", span.unit, [0, lowMax, lowExample], `low calibration ${span.what}`, SHEET),
    number("highPoint", "Mv", [500, 4900, 4500], `voltage at the high calibration ${span.what}`, SHEET),
    number("high", span.unit, span.high, `high calibration ${span.what}`, SHEET),
    ...plausible(),
  ];
}

/** How a wide-open throttle is proven. */
export const throttle: SettingNode = group(
  "throttle",
  "how a wide-open throttle is proven; at least one way",
  [
    choice("switch", YES_NO, "yes", "a switch that closes at wide-open throttle is fitted"),
    optional("position", "throttle position sensor; its voltage rises as the throttle opens", [
      number("closed", "Mv", [100, 4500, 600], "voltage with the throttle closed", "measure it"),
      number("open", "Mv", [500, 4900, 4200], "voltage with the throttle wide open", "measure it"),
      ...plausible(),
      number(
        "opensAt",
        "Permille",
        [500, 980, 900],
        "flow may begin at and above this opening",
        `${FULL_THROTTLE}, but a sensor may never quite come to its open voltage again`,
      ),
      number("closesAt", "Permille", [400, 990, 800], "flow stops below this opening", FULL_THROTTLE),
    ]),
  ],
);

/** Manifold pressure. */
export const manifold: SettingNode = optional(
  "manifold",
  "manifold pressure sensor; its voltage rises with pressure",
  [
    ...calibration({ what: "pressure", unit: "DeciKpa", low: [3000, 200], high: [500, 6000, 3000] }),
    optional("overboost", "manifold pressure above this trips", [
      number(
        "above",
        "DeciKpa",
        [500, 6000, 1500],
        "trips above this",
        "the engine's own limit, not a guess",
      ),
    ]),
  ],
);

/** Bottle pressure. */
export const bottle: SettingNode = optional("bottle", "bottle pressure sensor, behind the bottle valve", [
  ...calibration({ what: "pressure", unit: "KpaGauge", low: [3000, 0], high: [1000, 10000, 10000] }),
  number(
    "lowest",
    "KpaGauge",
    [3000, 8000, 6205],
    "no flow below this",
    "900 psi is common practice, no source: less is rich and weak",
  ),
  number(
    "highest",
    "KpaGauge",
    [4000, 8000, 7240],
    "trips above this",
    "1050 psi is common practice, no source; above 1036 psi there is no liquid and pressure no longer tells the contents",
  ),
  number(
    "hysteresis",
    "KpaGauge",
    [10, 500, 70],
    "how far it must come back inside before flow may begin again",
    "pressure falls as soon as a stage opens",
  ),
]);

/** Fuel pressure of the wet stages. */
export const fuel: SettingNode = optional("fuel", "fuel pressure sensor of the wet stages", [
  ...calibration({ what: "pressure", unit: "DeciKpaGauge", low: [3000, 0], high: [500, 10000, 10000] }),
  number(
    "lowest",
    "DeciKpaGauge",
    [100, 9000, 2700],
    "below this no flow begins, and a wet stage that flows trips",
    "missing fuel melts pistons (common practice, no source)",
  ),
]);

/** Mixture. */
export const lambda: SettingNode = optional(
  "lambda",
  "lambda sensor; its voltage rises as the mixture gets leaner",
  [
    ...calibration({ what: "mixture", unit: "MilliLambda", low: [1000, 500], high: [600, 2000, 1500] }),
    number(
      "leanest",
      "MilliLambda",
      [600, 1000, 880],
      "leaner than this for its time while flowing trips",
      "rich of stoichiometric under load (common practice, no source); ask the engine's builder",
    ),
    number(
      "within",
      "Ms",
      [50, 2000, 200],
      "how long it may be leaner",
      "exhaust takes time to reach the sensor",
    ),
  ],
);

/** Coolant, judged by voltage: a thermistor's voltage falls as it warms. */
export const coolant: SettingNode = optional(
  "coolant",
  "coolant sensor; its voltage falls as the coolant warms",
  [
    ...plausible(150, 4850),
    number(
      "coldAbove",
      "Mv",
      [200, 4800, 2600],
      "too cold while its voltage is above this",
      "measure it at the lowest temperature you allow",
    ),
    number(
      "hotBelow",
      "Mv",
      [160, 4700, 700],
      "too hot while its voltage is below this",
      "measure it at the highest temperature you allow",
    ),
  ],
);

/** Battery voltage is always measured. */
export const battery: SettingNode = group("battery", "the car's battery", [
  number(
    "lowest",
    "Mv",
    [8000, 13000, 10500],
    "no flow below this",
    "valves open late and relays drop out (common practice, no source)",
  ),
]);
