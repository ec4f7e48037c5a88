// How fast the core rig runs: ticks a second of a car that flows all the while, car and wiring included.
import type { Car } from "../oracle/car.ts";
import { flowingCar, isFed, smallSettings, ticks } from "../oracle/stand.ts";
import type { Row } from "./row.ts";

/** Less than a stage may flow in one run. */
const TICKS = 5000;
const ROUNDS = 20;

function car(stages: number): Car {
  const settings = smallSettings((s) => {
    s.stages = Array.from({ length: stages }, () => structuredClone(s.stages[0]!));
  });
  return flowingCar(settings);
}

/** Best of some rounds. Throws when the car did not flow to the end: then the number would mean something else. */
function ticksPerSecond(stages: number): number {
  let best = 0;
  for (let round = 0; round < ROUNDS; round++) {
    const flowing = car(stages);
    const start = process.hrtime.bigint();
    ticks(flowing, TICKS);
    best = Math.max(best, (TICKS * 1e9) / Number(process.hrtime.bigint() - start));
    if (!isFed(flowing)) throw new Error("the car stopped flowing during the measurement");
  }
  return Math.round(best);
}

/** Measures; takes about a second. */
export async function run(): Promise<Row[]> {
  return [1, 4].map((stages) => ({
    name: `core rig with a car, ${stages} ${stages === 1 ? "stage" : "stages"}`,
    value: ticksPerSecond(stages),
    unit: "ticks/s",
    aim: "over 100,000",
  }));
}
