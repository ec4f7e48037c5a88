// What was learnt in the text of a car file: the numbers change, every comment and every other line stays.
import { readFileSync } from "node:fs";
import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import { withFactors, withOrigin } from "#host/learn/car-text.ts";
import { loadCar } from "#host/plan/input/resolve.ts";
import { runs } from "../../support/effort.ts";

const DEMO = readFileSync("host/demo/street-coupe-car.yaml", "utf8");
const HEAD = `# mine
engine: # rebuilt in spring
  power: 150 kW   # on the rollers
  power-at: 6000 rpm
  rev-limiter: 6800 rpm
  torque-curve: [[2000 rpm, 180 Nm], [4000 rpm, 260 Nm], [6000 rpm, 239 Nm]]
car: {mass: 1400 kg, driven: rear} # with me in it
`;
const GOAL = "goal: {added-power: 75 hp} # for now\n";
const PARTS = [0.25, 0.35, 0.4];
const factor = fc.double({ min: 0.7, max: 1.4, noNaN: true });

function inputOf(text: string) {
  const loaded = loadCar(text);
  if (!loaded.ok) throw new Error(`${text}\n${JSON.stringify(loaded.errors)}`);
  return loaded.input;
}

const frictionOf = (text: string): number => Math.max(...inputOf(text).car.grip.curve.map(([, f]) => f));
const ORIGIN = {
  on: "2026-05-01",
  runs: ["shut.hgrun (1-00c0ffee)", 'a "b".hgrun (2-0badcafe)'],
  raised: false,
};

property.prop([fc.constantFrom(DEMO, HEAD + GOAL), factor, factor, factor], runs(40))(
  "a file says what it is told, within its four digits",
  (text, grip, engine, nitrous) => {
    const after = withFactors(text, { grip, engine, nitrous }, { parts: PARTS, axis: "engine-speed" }).text;
    const [was, is] = [inputOf(text), inputOf(after)];
    expect(frictionOf(after) / frictionOf(text)).toBeCloseTo(grip, 2);
    expect(is.engine.powerW / was.engine.powerW).toBeCloseTo(engine, 2);
    expect(is.car.torque[1]![1] / was.car.torque[1]![1]).toBeCloseTo(engine, 2);
    expect(is.goal.addedW! / was.goal.addedW!).toBeCloseTo(nitrous, 2);
    expect(is.nitrous.efficiency / was.nitrous.efficiency).toBeCloseTo(nitrous, 2);
    PARTS.forEach((part, i) => {
      expect(is.goal.parts![i]).toBeCloseTo(part, 9);
    });
  },
);

property.prop([fc.constantFrom(DEMO, HEAD + GOAL), factor], runs(40))(
  "every comment and every other line stays",
  (text, engine) => {
    const edited = withFactors(text, { engine }, { parts: [1] });
    const after = withOrigin(edited, ORIGIN);
    const lines = after.split("\n");
    const kept = text
      .split("\n")
      .filter((line) => !/power: \d|torque-curve/.test(line) || line.includes("added-power"));
    for (const line of kept) expect(lines).toContain(line);
    for (const [comment] of text.matchAll(/#.*/g)) expect(after).toContain(comment);
  },
);

describe("where a value comes from", () => {
  test("is a list that grows, and that the file may have", () => {
    const once = withOrigin(withFactors(DEMO, { grip: 0.9 }, { parts: [1] }), ORIGIN);
    const twice = withOrigin(withFactors(once, { grip: 0.9 }, { parts: [1] }), { ...ORIGIN, raised: true });
    expect(frictionOf(twice)).toBeCloseTo(1.15 * 0.81, 3);
    expect(twice.match(/- \{ on: 2026-05-01/g)).toHaveLength(2);
    expect(twice).toContain('values: ["tyres.friction: 1.15 -> 1.035"]');
    expect(twice).toContain("raised: yes");
  });

  test("stands in files of every form", () => {
    for (const tyres of ["", "tyres: {}\n", "tyres:\n  size: 630 mm # worn\n", "tyres: {size: 630 mm}\n"]) {
      const text = `${HEAD}${tyres}${GOAL}`;
      const after = withOrigin(
        withFactors(text, { grip: 0.9 }, { parts: PARTS, axis: "engine-speed" }),
        ORIGIN,
      );
      expect(frictionOf(after), after).toBeCloseTo(0.9, 3);
      for (const [comment] of text.matchAll(/#.*/g)) expect(after).toContain(comment);
    }
  });

  test("a slip curve keeps its slips", () => {
    const text = `${HEAD}tyres: {slip-curve: [[5 %, 0.8], [10 %, 1.0], [30 %, 0.9]]}\n${GOAL}`;
    const after = inputOf(withFactors(text, { grip: 0.9 }, { parts: [1] }).text);
    expect(after.car.grip.curve).toEqual([
      [0.05, 0.72],
      [0.1, 0.9],
      [0.3, 0.81],
    ]);
  });

  test("parts that contradict the file's number of stages are left out", () => {
    expect(inputOf(withFactors(DEMO, { grip: 0.9 }, { parts: [0.5, 0.5] }).text).goal.parts).toBeUndefined();
  });

  test("a goal that is a time takes no power", () => {
    const text = `${HEAD}goal: {quarter-mile: 13.5 s}\n`;
    expect(() => withFactors(text, { nitrous: 0.9 }, { parts: [1] })).toThrow(RangeError);
  });
});
