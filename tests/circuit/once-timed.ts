// Faults that were found in the circuit as it once was, whose outcome is one of time, energy or a number: from the runs in time.
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import type { Values } from "#shared-schema/circuit/graph.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Found, Outcome } from "./once.ts";
import type { DriverTimes } from "./spice/driver.ts";
import type { ExtremeTimes } from "./spice/extremes.ts";
import { FILTERS, type FilterTimes, filterTimes } from "./spice/inputs.ts";
import { pumpOutcome } from "./spice/kept.ts";
import { ms } from "./spice/ms.ts";
import type { Row } from "./spice/times.ts";

type Of = <T>(name: string) => T;

/** Says what an interlock does, when there is one of that name; otherwise that it is left to the builder. */
const answered = (id: string, then: string, otherwise: string): string =>
  INTERLOCKS.some((one) => one.id === id) ? `${id}: ${then}` : `left to you: ${otherwise}`;

const same = (outcome: Outcome): Pick<Found, "was" | "now"> => ({ was: outcome, now: outcome });

/** Way 2: the same in the circuit, but the test at arming once stopped the edges with the pin low only. */
function pumpFault(values: Values, rows: readonly Row[], fault: string, answer?: string): Found {
  const text = pumpOutcome(rows, fault, values);
  const bad = !/^(works on|does not hold|lets go later)/.test(text);
  const unseen = text.includes("stuck high") ? ", and the test at arming stopped the edges at low only" : "";
  return {
    name: fault,
    was: { bad, text: text + unseen },
    now: { bad, text },
    ...(answer ? { answer } : {}),
  };
}

const pumpFaults = (values: Values, rows: readonly Row[]): Found[] => [
  pumpFault(
    values,
    rows,
    "C2: 1 shorted to 2",
    "KEEP-ALIVE: the test at arming stops the edges once at each level",
  ),
  pumpFault(values, rows, "C1: 1 shorted to 2", "RELAY: closed at rest, no arming"),
  pumpFault(values, rows, "R5: 1 open", "RELAY: closed at rest, no arming"),
  pumpFault(values, rows, "C3: 1 open"),
  pumpFault(values, rows, "D2: A shorted to K"),
  pumpFault(values, rows, "D4: A shorted to K"),
];

function clampFault(of: Of): Found {
  const [good, shorted] = ["4 ohm, 30 mH, 20 Hz", "D101: A shorted to K"].map((name) =>
    of<DriverTimes>(`driver, ${name}`),
  );
  return {
    name: "a coil's suppressor shorted",
    ...same({
      bad: true,
      text: `release ${ms(good!.releaseS)} becomes ${ms(shorted!.releaseS)}, peak at the drain ${good!.peakV} V becomes ${shorted!.peakV} V`,
    }),
    answer: answered(
      "CLAMP",
      "with `clamps` in the settings, judged from the drain at switch-off",
      "measure the peak at each drain at every service",
    ),
  };
}

/** An extreme of the supply that nothing was said about. */
function extreme(
  of: Of,
  name: string,
  wasText: string,
  says: (row: ExtremeTimes) => Outcome,
  answer?: string,
): Found {
  const now = says(of<ExtremeTimes>(`extreme, ${name}`));
  return { name, was: { bad: true, text: wasText }, now, ...(answer ? { answer } : {}) };
}

const withstood = ({ worst, share, coilA }: ExtremeTimes): Outcome => ({
  bad: share > 1 || coilA > 0.05,
  text: `${worst} at ${(100 * share).toFixed(0)} % of its rating, ${(1000 * coilA).toFixed(0)} mA in a coil that nobody drives`,
});

const extremes = (of: Of, values: Values): Found[] => [
  extreme(
    of,
    "jump start from 24 V, arm switch off",
    "not stated, and no interlock looked for too much battery",
    withstood,
    "SUPPLY: above 16.5 V nothing flows",
  ),
  extreme(
    of,
    "load dump of an alternator without a limiter, driver and relay switching off at its top",
    "54.7 V at a converter whose limit was not stated, 199 J in a suppressor of 600 W [simulated then]",
    ({ share, dumpJ }) => ({
      bad: dumpJ > values("dump.stands"),
      text: `every part but D13 within ${(100 * share).toFixed(0)} % of its rating, ${dumpJ} J in D13`,
    }),
    "stated: D13 is destroyed, as a rule shorted, and F1 blows, which is off",
  ),
  extreme(
    of,
    "cranking down to 6 V",
    "not stated: no lowest input of the converter was given",
    ({ fiveV }) => ({
      bad: fiveV < 4.5,
      text: `the 5 V stay at ${fiveV} V or above`,
    }),
  ),
  extreme(of, "key off while a coil has current", "not stated: no ignition feed was defined", ({ endS }) => ({
    bad: endS === undefined,
    text: `no current after ${endS === undefined ? "never" : ms(endS)}`,
  })),
];

/** The capacitor of a sensor's filter as it once was, F. */
const OLD_FILTER_F = 47e-9;

async function filter(of: Of, values: Values): Promise<Found> {
  const name = "sensor, 500 Hz";
  const one = FILTERS.find((each) => each.name === name)!;
  const old = await filterTimes(CIRCUIT, one, (key) =>
    key === "sensor.filter" ? OLD_FILTER_F : values(key),
  );
  const says = ({ left }: FilterTimes): Outcome => ({
    bad: left > 0.5,
    text: `${(100 * left).toFixed(0)} % left`,
  });
  return {
    name: "a disturbance of 500 Hz at a sensor read 1000 times a second",
    was: says(old),
    now: says(of(`filter, ${name}`)),
  };
}

/** Sums of the bench and the clamps. */
function sums(values: Values): Found[] {
  const standOff = 16 + 29.5 + values("clamp.diode");
  const peak = 16 + values("clamp.highest") + values("clamp.diode");
  const limit = values("clamp.drain-limit");
  const oldLamps = (8 * 21) / 12;
  const lamps = values("bench.lamps");
  return [
    {
      name: "a suppressor of 24 V, by stand-off or by breakdown: highest drain at 16 V",
      was: { bad: standOff > limit, text: `${standOff.toFixed(0)} V, limit ${limit} V` },
      now: { bad: peak > limit, text: `${peak.toFixed(0)} V, limit ${limit} V` },
    },
    {
      name: "lamps in place of the coils, and their fuse",
      was: { bad: oldLamps > 5, text: `${oldLamps.toFixed(0)} A on 5 A` },
      now: { bad: lamps > values("bench.fuse"), text: `${lamps.toFixed(1)} A on ${values("bench.fuse")} A` },
    },
    {
      name: "heat of the clamps at 40 pulses a second",
      was: {
        bad: true,
        text: `${values("heat.clamps-40").toFixed(0)} W in a sealed box without a stated wall`,
      },
      now: {
        bad: values("heat.rise") > 20,
        text: `a wall of aluminium rises ${values("heat.rise").toFixed(0)} K over the longest run`,
      },
    },
  ];
}

const frozen: Found = {
  name: "a sensor that freezes at a plausible value",
  ...same({ bad: true, text: "the circuit cannot tell" }),
  answer: "left to you: look at each sensor before a run",
};

/** All of them. */
export async function timed(values: Values, rows: readonly Row[]): Promise<Found[]> {
  const of: Of = <T>(name: string): T => {
    const row = rows.find((one) => one.name === name);
    if (!row) throw new Error(`no run named ${name}: npm run circuit makes them`);
    return row as unknown as T;
  };
  return [
    clampFault(of),
    ...pumpFaults(values, rows),
    ...extremes(of, values),
    await filter(of, values),
    ...sums(values),
    frozen,
  ];
}
