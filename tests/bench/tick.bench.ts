// Cycles of the core's tick as native code in the released image, on the emulated processor: worst and mean, by settings.
import type { Settings } from "../oracle/settings.ts";
import { arm, fullSettings, smallSettings, standingCar } from "../oracle/stand.ts";
import { NativeCore } from "../support/native-core.ts";
import { addPlant, twin } from "../support/native-twin.ts";
import { Random } from "../support/random.ts";
import type { Row } from "./plan.bench.ts";

const TICKS = 3000;
const SEED = 1;

function cyclesOf(native: NativeCore, settings: Settings): number[] {
  const cycles: number[] = [];
  const car = standingCar(settings);
  twin(car.rig, native, (tick) => cycles.push(tick.cycles));
  addPlant(car.rig);
  arm(car);
  const random = new Random(SEED);
  for (let i = 0; i < TICKS; i++) {
    if (i > TICKS / 2 && random.oneIn(60)) car.set("throttle", !random.oneIn(2));
    if (i > TICKS / 2 && random.oneIn(400)) car.set("arm", !random.oneIn(2));
    car.tick(1000);
  }
  return cycles;
}

/** Runs a car through both kinds of settings and reports the ticks' cycles. */
export async function run(): Promise<Row[]> {
  const native = new NativeCore();
  return (
    [
      ["one stage", smallSettings()],
      ["four stages and every optional part", fullSettings()],
    ] as const
  ).flatMap(([name, settings]) => {
    const cycles = cyclesOf(native, settings);
    const mean = cycles.reduce((sum, c) => sum + c, 0) / cycles.length;
    return [
      { name: `worst tick, ${name}`, value: Math.max(...cycles), unit: "cycles", aim: "under 2500" },
      { name: `mean tick, ${name}`, value: Math.round(mean), unit: "cycles" },
    ];
  });
}
