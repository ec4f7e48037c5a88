// Every limit on a measured value, code by code of the converter: which side of it is in, and where the hysteresis ends.
import { describe, expect, test } from "vitest";
import { ADC_A } from "#shared-schema/pins.ts";
import type { Settings } from "../../oracle/settings.ts";
import { smallSettings, standingCar, TURN_TICKS, ticks } from "../../oracle/stand.ts";
import { reason, withPart } from "./interlock-moves.ts";
import { withManifold, withPosition } from "./interlocks-hold.ts";

type Channel = "throttle" | "manifold" | "bottle" | "fuel" | "coolant" | "battery";

/** What holds off by a value of the live block: `isOut` says whether it must, from the value and what it said before. */
interface Limit {
  readonly id: string;
  readonly settings: Settings;
  readonly channel: Channel;
  readonly column: string;
  readonly isOut: (value: number, before: boolean) => boolean;
}

const bottle = withPart("bottle");
const fuel = withPart("fuel");
const coolant = withPart("coolant");
const small = smallSettings();
const { lowestKpaGauge, hysteresisKpaGauge } = bottle.bottle!;
const { opensAtPermille, closesAtPermille } = withPosition.throttle.position!;
const { openDeciKpa, closeDeciKpa, hysteresisDeciKpa } = withManifold.windows.manifold!;

const LIMITS: readonly Limit[] = [
  {
    id: "BOTTLE-LOW",
    settings: bottle,
    channel: "bottle",
    column: "bottleKpaGauge",
    isOut: (kpa, before) => kpa < lowestKpaGauge + (before ? hysteresisKpaGauge : 0),
  },
  {
    id: "FUEL-LOW",
    settings: fuel,
    channel: "fuel",
    column: "fuelDeciKpaGauge",
    isOut: (deciKpa) => deciKpa < fuel.fuel!.lowestDeciKpaGauge,
  },
  {
    id: "COOLANT",
    settings: coolant,
    channel: "coolant",
    column: "coolantMv",
    isOut: (mv) => mv > coolant.coolant!.coldAboveMv || mv < coolant.coolant!.hotBelowMv,
  },
  {
    id: "BATT-LOW",
    settings: small,
    channel: "battery",
    column: "batteryMv",
    isOut: (mv) => mv < small.battery.lowestMv,
  },
  {
    id: "WOT",
    settings: withPosition,
    channel: "throttle",
    column: "throttlePermille",
    isOut: (permille, before) => permille < (before ? opensAtPermille : closesAtPermille),
  },
  {
    id: "MAP-WIN",
    settings: withManifold,
    channel: "manifold",
    column: "manifoldDeciKpa",
    isOut: (deciKpa, before) =>
      deciKpa < openDeciKpa - (before ? 0 : hysteresisDeciKpa) ||
      deciKpa > closeDeciKpa - (before ? hysteresisDeciKpa : 0),
  },
];

/** Codes up over the whole plausible range and down again, closely; each long enough for a turn of everything. */
function* codes(from: number, to: number): Generator<number> {
  for (let code = from; code <= to; code++) yield code;
  for (let code = to; code >= from; code--) yield code;
}

/** Plausible codes of a sensor, short of their ends; for the battery those around its limit. */
function rangeOf({ settings, channel }: Limit): [number, number] {
  if (channel === "battery") return [1500, 2500];
  const group = channel === "throttle" ? settings.throttle.position : settings[channel];
  const code = (mv: number): number => Math.floor((mv * 4096) / 5000);
  return [code(group!.plausibleLowMv) + 2, code(group!.plausibleHighMv) - 2];
}

function sweep(limit: Limit): { held: number; free: number; wrong: string[] } {
  const { id, settings, channel, column } = limit;
  const car = standingCar(settings);
  car.set("throttle", true);
  const counts = { held: 0, free: 0, wrong: [] as string[] };
  let before = reason(car, id);
  for (const code of codes(...rangeOf(limit))) {
    car.stuckCodes.set(ADC_A.indexOf(channel), code);
    ticks(car, 2 * TURN_TICKS);
    const value = car.rig.live.get(column);
    const out = limit.isOut(value, before);
    if (reason(car, id) !== out) counts.wrong.push(`${value}: ${id} should be ${out}`);
    before = out;
    counts[out ? "held" : "free"]++;
  }
  return counts;
}

describe("at every code of its sensor", () => {
  test.each(LIMITS.map((limit) => [limit.id, limit] as const))("%s is on the right side", (_, limit) => {
    const { held, free, wrong } = sweep(limit);
    expect(wrong).toEqual([]);
    expect(held).toBeGreaterThan(20);
    expect(free).toBeGreaterThan(20);
  });
});
