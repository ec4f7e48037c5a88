// What is legal but unwise, as data in the form of the rules; a caution never blocks anything. All are common practice, no source.

import { GAP_US, TRY_US } from "../model/blocks.ts";
import { STAGES } from "../model/pins.ts";
import { AXES, RAMPS_PER_STAGE, ROAD_SENDERS, STAGE_KINDS } from "../settings/choices.ts";
import { inUse, type Word, wordAt } from "../settings/words.ts";
import type { Condition, Rule, Term } from "./rules.ts";

/** A caution applies while constant + sum(terms) > 0 and all its fields are in use. */
export type Caution = Rule;

const plus = (...fields: Term["fields"]): Term => ({ factor: 1, fields });
const minus = (...fields: Term["fields"]): Term => ({ factor: -1, fields });

/** Applies while `field` is above `most`. */
function above(id: string, field: string, most: number, text: string, when: Condition[] = []): Caution {
  return { id, blame: field, when, terms: [plus(field)], constant: -most, text };
}

/** Applies while `field` is below `least`. */
function below(id: string, field: string, least: number, text: string): Caution {
  return { id, blame: field, when: [], terms: [minus(field)], constant: least, text };
}

/** A look at a driver that is on all the time switches it off for so long: with any faster valve it is not made. */
function quickValve(solenoid: string): Caution {
  return below(
    "quick-valve",
    `${solenoid}.closingUs`,
    3 * GAP_US,
    "closes in less than 3.3 ms: no driver is looked at while its stage is wide open, since the valve could notice; a coil unplugged or a driver shorted shows only when the stage pulses or ends",
  );
}

/** The test at arming lets each driver conduct for so long: with any faster valve it does not. */
function quickToOpen(solenoid: string): Caution[] {
  return ["opening10VUs", "opening12VUs", "opening14VUs"].map((field) =>
    below(
      "quick-to-open",
      `${solenoid}.${field}`,
      3 * TRY_US,
      "opens in less than 1.5 ms: the test at arming lets no driver conduct, since the valve could notice; a driver that never conducts shows only once its stage flows",
    ),
  );
}

const CUT_SHORT = "where a hold-off or a ramp that falls to nothing cuts the stage short";
const AGAIN =
  "after which the stage stays shut for forty times as long; no row trips by it where that comes again and again";
/** Times of two valves that lie no further apart are taken as alike. */
const ALIKE_US = 1_000;

/** A stage that is cut short in its first milliseconds: the nitrous valve may have opened, and the fuel valve never does. */
function fuelOpensLater(stage: string): Caution[] {
  return ["opening10VUs", "opening12VUs", "opening14VUs"].map((field) => ({
    id: "fuel-opens-later",
    blame: `${stage}.fuelSolenoid.${field}`,
    when: [],
    terms: [plus(`${stage}.fuelSolenoid.${field}`), minus(`${stage}.nitrousSolenoid.${field}`)],
    constant: -ALIKE_US,
    text: `the fuel valve opens over 1 ms later than the nitrous valve: ${CUT_SHORT}, nitrous may flow without any fuel, ${AGAIN}; use a fuel valve that opens no later`,
  }));
}

/** The same a little later: both have opened, and the nitrous valve has flowed for longer when both are shut. */
function nitrousShutsLater(stage: string): Caution {
  const of = (valve: string): string => `${stage}.${valve}Solenoid`;
  return {
    id: "nitrous-shuts-later",
    blame: `${of("nitrous")}.closingUs`,
    when: [],
    terms: [
      plus(`${of("nitrous")}.closingUs`),
      minus(`${of("fuel")}.closingUs`),
      minus(`${of("nitrous")}.opening12VUs`),
      plus(`${of("fuel")}.opening12VUs`),
    ],
    constant: -ALIKE_US,
    text: `${CUT_SHORT}, the nitrous valve has flowed over 1 ms longer than the fuel valve when both are shut, ${AGAIN}; use valves that match better`,
  };
}

function closeToLimiter(window: string): Caution {
  return {
    id: "close-to-limiter",
    blame: `${window}.closeRpm`,
    when: [],
    terms: [plus(`${window}.closeRpm`), minus("engine.revLimiterRpm")],
    constant: 300,
    text: "less than 300 rpm under the rev limiter: a limiter that cuts ignition or fuel while nitrous flows can break an engine",
  };
}

/** Does wheelspin speed up what the sender of the road speed counts? */
const SPINS: Readonly<Record<(typeof ROAD_SENDERS)[number], boolean>> = {
  driveshaft: true,
  "driven-wheel": true,
  "undriven-wheel": false,
};
if (ROAD_SENDERS.findIndex((sender) => !SPINS[sender]) !== ROAD_SENDERS.length - 1)
  throw new Error("the caution below needs exactly one sender that does not spin, the last of the table");

/** Over the speed of a driven part. */
function risesWithWheelspin(ramp: string): Caution {
  return {
    id: "ramp-rises-with-wheelspin",
    blame: `${ramp}.over`,
    when: [{ field: `${ramp}.over`, value: AXES.indexOf("road-speed") }],
    terms: [minus("road.sender")],
    constant: ROAD_SENDERS.indexOf("undriven-wheel"),
    text: "the road speed sender is on a driven part: when the tyres spin it reads too fast, and this ramp then adds nitrous; use a sender at an undriven wheel (`road.sender: undriven-wheel`) or a ramp over time",
  };
}

/** Applies while all of these hold: a part that a careful builder fits is left out. */
const leftOut = (id: string, blame: string, when: readonly Condition[], text: string): Caution => ({
  id,
  blame,
  when,
  terms: [],
  constant: 1,
  text,
});

const noProofOfFuel = (stage: string): Caution =>
  leftOut(
    "no-proof-of-fuel",
    `${stage}.kind`,
    [
      { field: `${stage}.kind`, value: STAGE_KINDS.indexOf("wet") },
      { field: "fuel", value: 0 },
      { field: "lambda", value: 0 },
    ],
    "a wet stage and no proof of its fuel: when the pump, the fuel solenoid or its wire fails, nitrous flows alone and melts pistons; fit a fuel pressure sensor (`fuel`) or a lambda sensor (`lambda`)",
  );

/** Protections that the settings leave out. */
const unprotected: readonly Caution[] = [
  leftOut(
    "no-throttle-position",
    "throttle.switch",
    [
      { field: "throttle.switch", value: 1 },
      { field: "throttle.position", value: 0 },
    ],
    "a switch alone proves the throttle: when it sticks or its wire is shorted, nitrous flows with the throttle shut; fit a throttle position sensor (`throttle.position`)",
  ),
  leftOut(
    "no-bottle-sensor",
    "bottle",
    [{ field: "bottle", value: 0 }],
    "no bottle pressure sensor: an overheated or an empty bottle goes unnoticed, and the mixture changes with its pressure; fit one (`bottle`)",
  ),
  leftOut(
    "no-jump-watch",
    "engine.jump",
    [{ field: "engine.jump", value: 0 }],
    "engine speed is not watched for jumps: noise on its wire can open the window or hold it open; add `engine.jump`",
  ),
  leftOut(
    "no-clamp-watch",
    "clamps",
    [{ field: "clamps", value: 0 }],
    "the clamps of the coils are not watched: when a suppressor fails shorted, its valve closes late, or not at all between pulses; add `clamps` as soon as coils are fitted, and leave it out only while lamps stand in for them",
  ),
];

function stageCautions(s: number): Caution[] {
  const at = `stages.${s}`;
  return [
    noProofOfFuel(at),
    ...Array.from({ length: RAMPS_PER_STAGE }, (_, r) => risesWithWheelspin(`${at}.ramps.${r}`)),
    closeToLimiter(`${at}.engineSpeed`),
    quickValve(`${at}.nitrousSolenoid`),
    quickValve(`${at}.fuelSolenoid`),
    ...quickToOpen(`${at}.nitrousSolenoid`),
    ...quickToOpen(`${at}.fuelSolenoid`),
    ...fuelOpensLater(at),
    nitrousShutsLater(at),
    above(
      "full-at-once",
      `${at}.ramps.0.points.0.1`,
      999,
      "the only ramp of this stage begins at 100 %: everything hits the tyres and the engine at once",
      [{ field: `${at}.ramps`, value: 1 }],
    ),
    above(
      "long-stage",
      `${at}.longestMs`,
      15_000,
      "over 15 s in one run: parts heat up, and a stuck sensor feeds the engine that long",
    ),
  ];
}

/** All cautions. */
export const CAUTIONS: readonly Caution[] = [
  above(
    "flow-below-3000-rpm",
    "engine.lowSpeedAcknowledged",
    0,
    "flow below 3000 rpm is allowed: at low engine speed each cylinder filling gets more charge than at high speed, and rods and pistons take the blow",
  ),
  ...unprotected,
  closeToLimiter("windows.engineSpeed"),
  above(
    "fast-pulses",
    "flow.frequencyHz",
    30,
    "over 30 Hz leaves little time to open and close in each period, and wears the valves",
  ),
  above(
    "long-run",
    "flow.longestRunMs",
    20_000,
    "over 20 s in one run: the bottle cools, its pressure falls and the mixture drifts rich or lean",
  ),
  above(
    "no-manifold-window",
    "stages",
    2,
    "three stages or more without a window on manifold pressure: nothing notices an intake pressure that does not fit",
    [{ field: "windows.manifold", value: 0 }],
  ),
  ...Array.from({ length: STAGES }, (_, s) => stageCautions(s)).flat(),
];

function sound(word: Word, values: ArrayLike<number>): boolean {
  const value = values[word.index] ?? 0;
  return inUse(word, values) && value >= word.min && value <= word.max;
}

/** Does the caution apply to this row of words? Words outside their limits count as not in use. */
export function unwise(caution: Caution, values: ArrayLike<number>): boolean {
  const at = (path: string): number => values[wordAt(path).index] ?? 0;
  const paths = [...caution.when.map((w) => w.field), ...caution.terms.flatMap((t) => t.fields)];
  if (!paths.every((path) => sound(wordAt(path), values))) return false;
  if (!caution.when.every((w) => at(w.field) === w.value)) return false;
  const terms = caution.terms.map((t) => t.fields.reduce((product, path) => product * at(path), t.factor));
  return terms.reduce((sum, term) => sum + term, caution.constant) > 0;
}
