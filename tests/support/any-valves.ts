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

/** May two valves go together? `most` is what opening and closing may take, microseconds. */
function areAllowed(nitrous: Solenoid, fuel: Solenoid, most: number): boolean {
  const names = Object.keys(nitrous) as (keyof Solenoid)[];
  const opening = Math.max(nitrous.opening10VUs, fuel.opening10VUs);
  const closing = Math.max(nitrous.closingUs, fuel.closingUs);
  return opening + closing <= most && names.every((n) => Math.abs(nitrous[n] - fuel[n]) <= APART_US);
}

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
    if (!areAllowed(nitrous, fuel, most + 500)) continue;
    return {
      nitrous,
      fuel,
      frequencyHz,
      batteryMv: random.between(10_600, 15_500),
      sharePermille: random.between(0, 1000),
    };
  }
}

/** Shares, as parts, that two valves make in two periods while one of them alone would be on in the second. */
function sharesOfOne(pair: readonly Solenoid[], periodUs: number): [number, number] {
  const part = (us: number): number => us / periodUs;
  const reaches = pair.map((each) => (1 - part(each.opening10VUs - each.closingUs)) / 2);
  const [low, high] = [Math.min(...reaches), Math.max(...reaches)];
  const opens = 1 - part(Math.max(...pair.map((each) => each.opening10VUs)));
  const closes = part(Math.max(...pair.map((each) => each.closingUs)));
  return opens < high ? [Math.max(low, opens), high] : [low, Math.min(high, closes)];
}

/** A case that the rules allow, at 30 to 40 Hz, in which one valve alone would be on in the second of two periods. */
export function apartCase(random: Random): FlowCase {
  const time = (): number => random.between(500, 15_000);
  for (;;) {
    const frequencyHz = random.between(30, 40);
    const periodUs = 1e6 / frequencyHz;
    const pair = [0, 1].map(() => {
      const opening = time();
      return valve([opening, opening, opening], time());
    });
    const [nitrous, fuel] = [pair[0]!, pair[1]!];
    if (!areAllowed(nitrous, fuel, ROOM * periodUs)) continue;
    const [low, high] = sharesOfOne(pair, periodUs).map((share) => Math.round(1000 * share));
    if (high! < low! + 10) continue;
    const sharePermille = random.between(low! + 1, high! - 1);
    return { nitrous, fuel, frequencyHz, batteryMv: random.between(10_600, 15_500), sharePermille };
  }
}
