// The test points of the first power-up: each value is what the netlist gives, and each stands in its step with what to do otherwise.
import { describe, expect, test } from "vitest";
import { CIRCUIT, endAt } from "#shared-schema/circuit/circuit.ts";
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import { type State, TEST_TABLES, type TestPoint } from "#shared-schema/circuit/test-points.ts";
import { SCENES, type Solved, solve } from "../circuit/judge.ts";
import { type Scene, WIRE } from "../circuit/model.ts";
import { Network } from "../circuit/solver.ts";
import type { DriverTimes } from "../circuit/spice/driver.ts";
import { readTimes } from "../circuit/spice/kept.ts";
import { tableRows } from "../support/markdown.ts";
import { all, change, leaveOut } from "./mistakes.ts";
import { noteText, value } from "./values.ts";

const BENCH: Scene = { ...SCENES["arm on, processor in reset"]!, battery: 12, armClosed: false };
const noFuses = leaveOut("F3", "F4", "F5", "F6", "F7");
const switchesOn = all(
  ...["S3", "S4", "S5", "S6", "S7", "S8"].map((ref) =>
    change(ref, (part) => ({ ...part, kind: "jumper" as const })),
  ),
);
/** A lamp of `bench.lamp` in place of each coil. */
const lamps: Values = (key) => (key === "coil.resistance" ? 12 ** 2 / value("bench.lamp") : value(key));

const SOLVED: Partial<Record<State, () => Solved>> = {
  "board out": () => solve(all(noFuses, leaveOut("A1"))(CIRCUIT), BENCH, value),
  "in reset": () => solve(noFuses(CIRCUIT), BENCH, value),
  flashed: () => solve(noFuses(CIRCUIT), { ...BENCH, program: "obeys" }, value),
  "switches on": () => solve(all(noFuses, switchesOn)(CIRCUIT), { ...BENCH, armClosed: true }, value),
  "relay open": () => solve(CIRCUIT, BENCH, lamps),
  "relay closed": () => solve(CIRCUIT, { ...BENCH, armClosed: true, keepAlive: "edges" }, lamps),
  "drivers on": () => solve(CIRCUIT, { ...BENCH, armClosed: true, program: "wild" }, lamps),
  "coils on": () => solve(CIRCUIT, { ...BENCH, armClosed: true, program: "wild" }, value),
};

/** Resistance of a net to the logic plane with no power: resistors, links and fuses alone, and no diode conducts. */
function cold({ parts }: Circuit, net: string): number {
  const numbers = new Map([["gnd", 0]]);
  const at = (name: string): number => numbers.get(name) ?? numbers.set(name, numbers.size).get(name)!;
  const branches = parts.flatMap(({ kind, pins, value: key }): [number, number, number][] => {
    const ohm = kind === "resistor" ? value(key!) : ["link", "jumper"].includes(kind) ? WIRE : undefined;
    return ohm === undefined ? [] : [[at(pins[0]!.net), at(pins[1]!.net), ohm]];
  });
  const probe = at(net);
  const network = new Network(numbers.size);
  for (const [a, b, ohm] of branches) network.branch(a, b, 1 / ohm);
  for (let node = 1; node < numbers.size; node++) network.branch(node, 0, 1e-12);
  network.branch(probe, 0, 1 / 1000, 1);
  const volts = network.solve()[probe]!;
  return (1000 * volts) / (1 - volts);
}

const netAt = (at: string): string => endAt(CIRCUIT, at).pin.net;
const kick = readTimes().rows.find(
  ({ name }) => name === "driver, 4 ohm, 30 mH, 20 Hz",
) as unknown as DriverTimes;

function found({ at, unit }: TestPoint, state: State): number {
  if (state === "cold") return cold(CIRCUIT, netAt(at));
  if (state === "relay coil kicks") return -(2 * value("relay.clamp") + value("clamp.diode"));
  if (state === "coils kick") return unit === "ms" ? kick.releaseS! * 1000 : kick.peakV;
  const solved = SOLVED[state]!();
  return unit === "A" ? solved.coils.get(at)! : solved.volts(netAt(at)) - solved.volts("gnd");
}

const HERE = TEST_TABLES.filter(({ state }) => state !== "dummy coils kick");

describe.each(HERE.map((each) => [each.step, each.state, each.points] as const))(
  "step %i, %s",
  (_, state, points) => {
    test("shows what the netlist gives, within a hundredth, 60 mV or 50 us, and the range has room on both sides", () => {
      for (const point of points) {
        const is = found(point, state);
        const { at, expect: says, low, high, unit } = point;
        const near = Math.max(0.01 * Math.abs(is), unit === "V" ? 0.06 : unit === "ms" ? 0.05 : 0);
        expect(Math.abs(says - is), `${at} shows ${is}`).toBeLessThanOrEqual(near);
        expect([at, low <= is + 0.01, is <= high, low <= says, says < high]).toEqual([
          at,
          true,
          true,
          true,
          true,
        ]);
      }
    });
  },
);

test("a swapped divider and a missing bleeder would show at the first step", () => {
  expect(cold(leaveOut("R9")(CIRCUIT), "pump.out")).toBeGreaterThan(10_000);
  expect(cold(leaveOut("R101")(CIRCUIT), "nitrous1")).toBeGreaterThan(1e6);
});

describe("the page", () => {
  const steps = noteText("first-power-up.md")
    .split(/^## (?=\d)/m)
    .slice(1);

  test.each([1, 2, 3, 4, 5, 6, 7])(
    "step %i has its points, each with what to look at otherwise, and help",
    (step) => {
      const text = steps.find((one) => one.startsWith(`${step}.`))!;
      const rows = tableRows(text)
        .filter((row) => row.length === 6)
        .slice(0);
      const points = TEST_TABLES.filter((each) => each.step === step).flatMap((each) => each.points);
      expect(points.length).toBeGreaterThan(0);
      expect(rows.map(([at, , , , source, otherwise]) => [at, source, otherwise])).toEqual(
        points.map(({ at, from, otherwise }) => [at, `[${from}]`, otherwise]),
      );
      expect(text).toMatch(/\*\*Help\.\*\* .*(No command yet|`headgate \w+`).*Whatever is off: /);
    },
  );
});
