// Every limit on a measured value, code by code of the converter: which side of it is in, and where the hysteresis ends.
import { describe, expect, test } from "vitest";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Car } from "../../oracle/car.ts";
import { lineOf, mvAt, type Settings } from "../../oracle/settings.ts";
import { flowingCar, modeOf, smallSettings, standingCar, TURN_TICKS, ticks } from "../../oracle/stand.ts";
import { NONE, reason, withPart } from "./interlock-moves.ts";
import { withManifold, withPosition } from "./interlocks-hold.ts";

type Channel = "throttle" | "manifold" | "bottle" | "fuel" | "coolant" | "battery";

/** What holds off by a value of the live block: `isOut` says whether it must, from the value and what it said before. */
interface Limit {
  readonly id: string;
  readonly settings: Settings;
  readonly channel: Channel;
  readonly column: string;
  readonly isOut: (value: number, before: boolean) => boolean;
  /** Once begun it lasts for a least time. */
  readonly holds?: true;
}

/** Ticks of 5 ms after which a hold-off that must not hunt may end. */
const LEAST_OFF_TICKS = 60;

const bottle = withPart("bottle");
const fuel = withPart("fuel");
const lowestFuel = fuel.fuel!.lowestDeciKpaGauge;
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
    isOut: (deciKpa, before) => deciKpa < lowestFuel + (before ? Math.floor(lowestFuel / 16) : 0),
    holds: true,
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
    isOut: (mv, before) => mv < small.battery.lowestMv + (before ? 300 : 0),
    holds: true,
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
    if (limit.holds) ticks(car, LEAST_OFF_TICKS, 5000);
    else ticks(car, 2 * TURN_TICKS);
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

describe("a limit that trips lets its own value pass, and nothing above it", () => {
  const boosted = withPart("manifold", (s) => {
    s.manifold!.overboost = { aboveDeciKpa: 1500 };
  });
  const lean = withPart("lambda", (s) => {
    s.lambda!.withinMs = 100;
  });
  /** Codes apart at which every sensor shows another value. */
  const STEP = 8;
  const TRIPS: readonly {
    id: string;
    settings: Settings;
    channel: "manifold" | "bottle" | "lambda";
    column: string;
    from: number;
  }[] = [
    {
      id: "OVERBOOST",
      settings: boosted,
      channel: "manifold",
      column: "manifoldDeciKpa",
      from: 1480,
    },
    {
      id: "BOTTLE-HIGH",
      settings: bottle,
      channel: "bottle",
      column: "bottleKpaGauge",
      from: bottle.bottle!.highestKpaGauge - 40,
    },
    {
      id: "LEAN",
      settings: lean,
      channel: "lambda",
      column: "milliLambda",
      from: lean.lambda!.leanestMilliLambda - 10,
    },
  ];

  test.each(TRIPS.map((trip) => [trip.id, trip] as const))("%s", (_, trip) => {
    const { settings, channel, column } = trip;
    const code = Math.round((mvAt(lineOf(settings, channel)!, trip.from) * 4096) / 5000);
    /** What the core makes of a code is known only from the core: the limit is set to just that. */
    const limits = [code, code + STEP, code + 2 * STEP].map((at) => {
      const car = standingCar(settings);
      car.stuckCodes.set(ADC_A.indexOf(channel), at);
      ticks(car, 3 * TURN_TICKS);
      return car.rig.live.get(column);
    });
    const [, limit, above] = limits;
    expect(above).toBeGreaterThan(limit!);
    const own = structuredClone(settings);
    if (own.manifold?.overboost) own.manifold.overboost.aboveDeciKpa = limit!;
    if (own.bottle) own.bottle.highestKpaGauge = limit!;
    if (own.lambda) own.lambda.leanestMilliLambda = limit!;
    const car = flowingCar(own, { manifoldMv: 1000 });
    ticks(car, 50);
    car.stuckCodes.set(ADC_A.indexOf(channel), code + STEP);
    ticks(car, 300);
    expect(modeOf(car), `at ${limit}`).toBe("flowing");
    car.stuckCodes.set(ADC_A.indexOf(channel), code + 2 * STEP);
    ticks(car, 300);
    expect(car.trip, `at ${above}`).toBe(interlockNumber(trip.id));
  });
});

describe("a throttle at just the opening where it counts as open", () => {
  /** A flowing car at the lowest code that is read as an opening. */
  function at(permille: number): Car {
    const car = flowingCar(withPosition);
    const channel = ADC_A.indexOf("throttle");
    const line = lineOf(withPosition, "throttle")!;
    for (let code = Math.floor((mvAt(line, permille) * 4096) / 5000) - 4; ; code++) {
      car.stuckCodes.set(channel, code);
      ticks(car, 2 * TURN_TICKS);
      if (car.rig.live.get("throttlePermille") >= permille) break;
    }
    expect(car.rig.live.get("throttlePermille")).toBe(permille);
    return car;
  }

  test("does not contradict a switch that says so", () => {
    const car = at(closesAtPermille);
    ticks(car, 300);
    expect(car.trip).toBe(NONE);
  });

  test("contradicts a switch that does not", () => {
    const car = at(opensAtPermille);
    car.set("throttle", false);
    ticks(car, 300);
    expect(car.trip).toBe(interlockNumber("TPS-SW"));
  });
});

test("a bottle at just its lowest pressure flows, and at less it does not", () => {
  const channel = ADC_A.indexOf("bottle");
  const code = Math.round((mvAt(lineOf(bottle, "bottle")!, lowestKpaGauge) * 4096) / 5000);
  const read = standingCar(bottle);
  read.stuckCodes.set(channel, code);
  ticks(read, 3 * TURN_TICKS);
  const own = structuredClone(bottle);
  own.bottle!.lowestKpaGauge = read.rig.live.get("bottleKpaGauge");
  const car = flowingCar(own);
  car.stuckCodes.set(channel, code);
  ticks(car, 100);
  expect(modeOf(car)).toBe("flowing");
  car.stuckCodes.set(channel, code - 2);
  ticks(car, 100);
  expect(modeOf(car)).toBe("armed");
});
