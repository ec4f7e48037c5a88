// Any two valves that the rules allow at a frequency, with a voltage and a share: what decides how a wet stage flows.
import type { Solenoid } from "../oracle/settings.ts";
import type { FlowCase } from "./flow-bench.ts";
import type { Random } from "./random.ts";

/** An intake stroke at the speed where the bench's window closes, microseconds; what the rules allow between two times. */
const APART_US = 30_000_000 / 3300;
/** Part of a period that opening and closing may take together. */
const ROOM = 0.8;

/** A valve with these opening times, in any order, microseconds. */
export const valve = (times: readonly number[], closingUs: number): Solenoid => {
  const [at10, at12, at14] = [...times].sort((a, b) => b - a);
  return { opening10VUs: at10!, opening12VUs: at12!, opening14VUs: at14!, closingUs };
};

/** A case that the rules allow. */
export function anyCase(random: Random): FlowCase {
  for (;;) {
    const frequencyHz = random.between(8, 40);
    const most = Math.min(40_000, Math.floor((ROOM * 1e6) / frequencyHz) - 500);
    const time = (): number => random.between(500, random.oneIn(4) ? most : Math.min(most, 20_000));
    const [nitrous, fuel] = [
      valve([time(), time(), time()], time()),
      valve([time(), time(), time()], time()),
    ];
    const names = Object.keys(nitrous) as (keyof Solenoid)[];
    const opening = Math.max(nitrous.opening10VUs, fuel.opening10VUs);
    const closing = Math.max(nitrous.closingUs, fuel.closingUs);
    if (opening + closing > most + 500 || names.some((n) => Math.abs(nitrous[n] - fuel[n]) > APART_US))
      continue;
    return {
      nitrous,
      fuel,
      frequencyHz,
      batteryMv: random.between(10_600, 15_500),
      sharePermille: random.between(0, 1000),
    };
  }
}
