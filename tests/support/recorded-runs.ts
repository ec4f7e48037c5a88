// A car whose runs are written down as they happen, record by record, to be held against what its controller has stored of them.
import type { Car } from "../oracle/car.ts";
import { modeOf } from "../oracle/stand.ts";
import { RecordRing } from "./record-ring.ts";

/**
 * Lays itself around a car's ticks: takes each record from the ring as it is written, and lets the main loop go round after
 * each tick with nothing on the line. Returns the records of each run, which go on filling.
 */
export function writtenRuns(car: Car): readonly Uint8Array[][] {
  const runs: Uint8Array[][] = [];
  const ring = new RecordRing(car);
  const tick = car.tick.bind(car);
  car.tick = (us = 1000): void => {
    const before = modeOf(car);
    tick(us);
    if (modeOf(car) === "arming" && before !== "arming") {
      ring.restart();
      runs.push([]);
    }
    const record = ring.take();
    if (record) runs.at(-1)!.push(record);
    car.rig.core.serve(0);
  };
  return runs;
}
