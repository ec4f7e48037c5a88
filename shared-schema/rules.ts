// The rules that join settings, as data: a sum of products must not rise above zero while its fields are in use.

import { STAGES } from "./pins.ts";
import { AXES, RAMP_POINTS, RAMPS_PER_STAGE } from "./settings.ts";

/** `factor` x value at `fields[0]` (x value at `fields[1]`). */
export interface Term {
  readonly factor: number;
  readonly fields: readonly [string] | readonly [string, string];
}

/** The rule counts only when the word at `field` equals `value`. */
export interface Condition {
  readonly field: string;
  readonly value: number;
}

/** constant + sum(terms) <= 0, else `blame` is wrong. Paths are those of `words.ts`. */
export interface Rule {
  readonly id: string;
  readonly blame: string;
  readonly when: readonly Condition[];
  readonly terms: readonly Term[];
  readonly constant: number;
  readonly text: string;
}

const plus = (field: string, factor = 1): Term => ({ factor, fields: [field] });
const minus = (field: string, factor = 1): Term => ({ factor: -factor, fields: [field] });

/** a + gap <= b; b is blamed. */
function gap(id: string, a: string, amount: number, b: string, text: string): Rule {
  return { id, blame: b, when: [], terms: [plus(a), minus(b)], constant: amount, text };
}

function needs(id: string, blame: string, when: Condition[], needed: string, text: string): Rule {
  return { id, blame, when, terms: [minus(needed)], constant: 1, text };
}

function windowRules(at: string): Rule[] {
  const order = (path: string, least: number): Rule => ({
    id: "window-order",
    blame: `${path}.close${suffixOf(path)}`,
    when: [],
    terms: [plus(`${path}.open`), plus(`${path}.hysteresis`), minus(`${path}.close`)].map(unitPath(path)),
    constant: least,
    text: "close must lie above open by more than the hysteresis",
  });
  return [
    ...engineRules(`${at}engineSpeed`, order),
    order(`${at}roadSpeed`, 5),
    needs(
      "window-needs-road",
      `${at}roadSpeed`,
      [{ field: `${at}roadSpeed`, value: 1 }],
      "road",
      "a road speed window needs `road`",
    ),
    order(`${at}manifold`, 5),
    needs(
      "window-needs-manifold",
      `${at}manifold`,
      [{ field: `${at}manifold`, value: 1 }],
      "manifold",
      "a manifold pressure window needs the `manifold` sensor",
    ),
  ];
}

const suffixes: Record<string, string> = { engineSpeed: "Rpm", roadSpeed: "DeciKmh", manifold: "DeciKpa" };
const suffixOf = (path: string): string => suffixes[path.split(".").at(-1) ?? ""] ?? "";
function unitPath(path: string): (t: Term) => Term {
  return (t) => ({ factor: t.factor, fields: [`${t.fields[0]}${suffixOf(path)}`] });
}

function engineRules(path: string, order: (path: string, least: number) => Rule): Rule[] {
  return [
    order(path, 50),
    {
      id: "low-speed",
      blame: `${path}.openRpm`,
      when: [{ field: "engine.lowSpeedAcknowledged", value: 0 }],
      terms: [minus(`${path}.openRpm`), plus(`${path}.hysteresisRpm`)],
      constant: 3000,
      text: "open less its hysteresis must not lie below 3000 rpm unless `low-speed-acknowledged` says yes",
    },
    {
      id: "lowest-speed",
      blame: `${path}.openRpm`,
      when: [],
      terms: [minus(`${path}.openRpm`), plus(`${path}.hysteresisRpm`)],
      constant: 2000,
      text: "open less its hysteresis must never lie below 2000 rpm",
    },
    {
      id: "limiter-margin",
      blame: `${path}.closeRpm`,
      when: [],
      terms: [plus(`${path}.closeRpm`), minus("engine.revLimiterRpm")],
      constant: 100,
      text: "close must lie at least 100 rpm under the rev limiter",
    },
  ];
}

function sensorRules(at: string, low: string, high: string): Rule[] {
  return [
    gap(
      "sensor-order",
      `${at}.${low}`,
      400,
      `${at}.${high}`,
      "the two calibration voltages must lie at least 0.4 V apart, rising",
    ),
    gap(
      "sensor-plausible",
      `${at}.plausibleLowMv`,
      50,
      `${at}.${low}`,
      "the calibration must lie inside the plausible voltages by 0.05 V",
    ),
    gap(
      "sensor-plausible",
      `${at}.${high}`,
      50,
      `${at}.plausibleHighMv`,
      "the plausible voltages must reach past the calibration by 0.05 V",
    ),
  ];
}

const plainRules: Rule[] = [
  {
    id: "throttle-proof",
    blame: "throttle.switch",
    when: [],
    terms: [minus("throttle.switch"), minus("throttle.position")],
    constant: 1,
    text: "a wide-open throttle must be proven by a switch, by a position sensor, or by both",
  },
  ...sensorRules("throttle.position", "closedMv", "openMv"),
  gap(
    "throttle-order",
    "throttle.position.closesAtPermille",
    10,
    "throttle.position.opensAtPermille",
    "opens-at must lie at least 1 % above closes-at",
  ),
  ...sensorRules("manifold", "lowPointMv", "highPointMv"),
  gap(
    "manifold-order",
    "manifold.lowPressureDeciKpa",
    100,
    "manifold.highPressureDeciKpa",
    "the two calibration pressures must lie at least 10 kPa apart, rising",
  ),
  ...windowRules("windows."),
];

function solenoidRules(at: string): Rule[] {
  const duty = (voltage: string): Rule => ({
    id: "duty-room",
    blame: `${at}.${voltage}Us`,
    when: [],
    terms: [
      { factor: 1, fields: ["flow.frequencyHz", `${at}.${voltage}Us`] },
      { factor: 1, fields: ["flow.frequencyHz", `${at}.closingUs`] },
    ],
    constant: -800_000,
    text: "opening and closing together may take at most 80 % of a period at this frequency",
  });
  return [
    gap(
      "solenoid-voltage",
      `${at}.opening12VUs`,
      0,
      `${at}.opening10VUs`,
      "a solenoid cannot open faster at less voltage",
    ),
    gap(
      "solenoid-voltage",
      `${at}.opening14VUs`,
      0,
      `${at}.opening12VUs`,
      "a solenoid cannot open faster at less voltage",
    ),
    ...["opening10V", "opening12V", "opening14V"].map(duty),
  ];
}

function rampRules(at: string): Rule[] {
  const over = `${at}.over`;
  const need = (axis: (typeof AXES)[number], needed: string): Rule =>
    needs(
      `ramp-needs-${needed}`,
      over,
      [{ field: over, value: AXES.indexOf(axis) }],
      needed,
      `a ramp over this axis needs \`${needed}\``,
    );
  const rising = Array.from(
    { length: RAMP_POINTS - 1 },
    (_, i): Rule =>
      gap(
        "ramp-rising",
        `${at}.points.${i}.0`,
        1,
        `${at}.points.${i + 1}.0`,
        "the places of a ramp must rise from point to point",
      ),
  );
  return [need("launch", "launch"), need("road-speed", "road"), need("manifold", "manifold"), ...rising];
}

function stageRules(s: number): Rule[] {
  const at = `stages.${s}`;
  const wet = { field: `${at}.kind`, value: 0 };
  const dry = { field: `${at}.kind`, value: 1 };
  return [
    needs(
      "wet-needs-fuel",
      `${at}.kind`,
      [wet],
      `${at}.fuelSolenoid`,
      "a wet stage must have a fuel solenoid",
    ),
    {
      id: "dry-has-no-fuel",
      blame: `${at}.fuelSolenoid`,
      when: [dry],
      terms: [plus(`${at}.fuelSolenoid`)],
      constant: 0,
      text: "a dry stage has no fuel solenoid",
    },
    needs(
      "dry-needs-enrichment",
      `${at}.kind`,
      [dry],
      `${at}.enrichment`,
      "a dry stage must have its enrichment confirmed",
    ),
    gap(
      "stage-in-run",
      `${at}.longestMs`,
      0,
      "flow.longestRunMs",
      "the longest run must not be shorter than the longest time of a stage",
    ),
    ...windowRules(`${at}.`),
    ...solenoidRules(`${at}.nitrousSolenoid`),
    ...solenoidRules(`${at}.fuelSolenoid`),
    ...Array.from({ length: RAMPS_PER_STAGE }, (_, r) => rampRules(`${at}.ramps.${r}`)).flat(),
  ];
}

/** Every rule, written out for every stage and ramp, in the order in which they are judged. */
export const RULES: readonly Rule[] = [
  ...plainRules,
  ...Array.from({ length: STAGES }, (_, s) => stageRules(s)).flat(),
];
