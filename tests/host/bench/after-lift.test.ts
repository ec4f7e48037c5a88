// After a lift a rehearsal compares the pins with the ramp where `flow.after-lift` lets it go on, not with its start.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { resumeTimeS } from "#host/bench/after-lift.ts";
import type { Findings } from "#host/bench/findings.ts";
import type { Rehearsal } from "#host/bench/rehearsal.ts";
import { sample } from "../../support/effort.ts";
import { World } from "../cli/world.ts";

const DEMO = readFileSync("host/demo/street-coupe.yaml", "utf8");
const BEFORE = { atS: 2, shutS: 5 };
const run = (armed: boolean): Rehearsal => ({
  samples: [4, 5.5, 6].map((s) => ({
    s,
    pedal: 1,
    armed: armed || s !== 5.5,
    rpm: 0,
    kmh: 0,
    kpa: 0,
    volts: 13.8,
  })),
  nitrous: [],
  fuel: [],
  relay: [],
  endS: 9,
  script: [],
});

describe("the ramp over time goes on", () => {
  test.each([
    ["restart", 0],
    ["resume", 2],
    ["step-back", 1.6],
  ])("%s: at %s s, and at its start when it was disarmed meanwhile", (afterLift, atS) => {
    const settings = { flow: { afterLift, stepBackMs: 400 } };
    expect(resumeTimeS(BEFORE, 6, run(true), settings)).toBeCloseTo(atS);
    expect(resumeTimeS(BEFORE, 6, run(false), settings)).toBe(0);
  });
});

/** The demo with its first stage on a slow ramp over time alone. */
function slowDemo(afterLift: string): string {
  const start = DEMO.indexOf("      - over: launch");
  const end = DEMO.indexOf("  - kind: wet", start);
  const ramp = "      - over: time\n        points: [[0 s, 20 %], [4 s, 68 %]]\n";
  return (DEMO.slice(0, start) + ramp + DEMO.slice(end)).replace(
    "after-lift: step-back",
    `after-lift: ${afterLift}`,
  );
}

describe("on the released image, with a lift in the middle of a slow ramp", () => {
  test.each(sample(["step-back", "resume"], 2))(
    "%s: the second stretch follows its ramp",
    async (afterLift) => {
      const world = new World();
      world.write("slow.yaml", slowDemo(afterLift));
      const ran = await world.run(
        "rehearse",
        "slow.yaml",
        "--board",
        "--until",
        "5s",
        "--lift",
        "2.4s",
        "--json",
      );
      const [first, second] = (ran.json() as unknown as Findings).stages[0]!;
      const [begun] = second!.points;
      const left = first!.points.at(-1)!.table;
      expect(begun!.table).toBeCloseTo(afterLift === "resume" ? left : left - 0.4 * 0.12, 1);
      for (const { share, table } of second!.points.slice(8))
        expect(Math.abs(share - table)).toBeLessThan(0.02);
    },
  );
});
