// When each timed fault trips, to the tick, whichever of the four turns it begins in: never after its time, never much before.
import { describe, expect, test } from "vitest";
import { interlockNumber } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import {
  arm,
  flowingCar,
  isFed,
  modeOf,
  smallSettings,
  standingCar,
  TURN_TICKS,
  ticks,
} from "../../oracle/stand.ts";
import { NONE, put, withPart } from "./interlock-moves.ts";
import { insideManifold, withManifold, withPosition } from "./interlocks-hold.ts";

const enough = 2000;

/** A fault, its time, and what the trip says it saw. */
interface Timed {
  readonly id: string;
  readonly car: () => Car;
  readonly fault: (car: Car) => void;
  readonly heal: (car: Car) => void;
  /** Ticks from the fault to the trip, at most; three less when the fault is judged in turns. */
  readonly within: number;
  readonly inTurns: boolean;
  readonly value: number;
  readonly valueOff?: number;
}

const lambda = withPart("lambda", (s) => {
  s.lambda!.withinMs = 200;
});
const fuel = withPart("fuel");
const bottle = withPart("bottle");
const dry = smallSettings((s) => {
  const [stage] = s.stages;
  stage!.kind = "dry";
  delete stage!.fuelSolenoid;
  stage!.enrichment = { withinMs: 100 };
});
const valve = withPart("bottle", (s) => {
  s.bottleValve = { opensWithinMs: 500 };
});

const flowing =
  (settings: Settings, point = {}) =>
  (): Car => {
    const car = flowingCar(settings, point);
    ticks(car, 100);
    return car;
  };

const sensor = (
  settings: Settings,
  name: "lambda" | "fuel" | "bottle",
  bad: number,
  good: number,
): Pick<Timed, "car" | "fault" | "heal" | "inTurns" | "value" | "valueOff"> => ({
  car: flowing(settings),
  fault: (car) => put(car, settings, name, bad),
  heal: (car) => put(car, settings, name, good),
  inTurns: true,
  value: bad,
  valueOff: 5,
});

const TIMED: readonly Timed[] = [
  { id: "LEAN", within: 200, ...sensor(lambda, "lambda", lambda.lambda!.leanestMilliLambda + 20, 800) },
  { id: "FUEL-LOW", within: 12, ...sensor(fuel, "fuel", fuel.fuel!.lowestDeciKpaGauge - 20, 4000) },
  { id: "BOTTLE-HIGH", within: 4, ...sensor(bottle, "bottle", bottle.bottle!.highestKpaGauge + 20, 6700) },
  {
    id: "TPS-SW",
    within: 100,
    car: flowing(withPosition),
    fault: (car) => car.set("throttle", false),
    heal: (car) => car.set("throttle", true),
    inTurns: true,
    value: 1000,
  },
  {
    id: "ENRICH",
    within: 100,
    car: flowing(dry),
    fault: (car) => car.set("enrich", false),
    heal: (car) => car.set("enrich", true),
    inTurns: true,
    value: 100_000,
  },
  {
    id: "SENSOR",
    within: 3,
    car: flowing(withManifold, insideManifold),
    fault: (car) => void car.stuckCodes.set(1, 0),
    heal: (car) => car.stuckCodes.clear(),
    inTurns: false,
    value: 1 << 1,
  },
  {
    id: "ADC",
    within: 3,
    car: flowing(smallSettings()),
    fault: (car) => {
      car.raw.adcMissing = 4;
    },
    heal: (car) => {
      car.raw.adcMissing = 0;
    },
    inTurns: false,
    value: 4,
  },
];

/** Ticks from the fault to the trip in each of the four turns. */
function times({ id, car: make, fault }: Timed): { took: number[]; values: number[] } {
  const took: number[] = [];
  const values: number[] = [];
  for (let turn = 0; turn < TURN_TICKS; turn++) {
    const car = make();
    ticks(car, turn);
    expect(isFed(car) || modeOf(car) === "flowing").toBe(true);
    fault(car);
    let count = 0;
    while (car.trip === NONE && count < enough) {
      car.tick();
      count++;
    }
    expect(car.trip).toBe(interlockNumber(id));
    took.push(count);
    values.push(car.rig.live.get("tripValue"));
  }
  return { took: took.sort((a, b) => a - b), values };
}

describe("a fault that lasts trips in its time", () => {
  test.each(TIMED.map((timed) => [timed.id, timed] as const))("%s", (_, timed) => {
    const { took, values } = times(timed);
    const { within, inTurns, value, valueOff = 0 } = timed;
    expect(took).toEqual([3, 2, 1, 0].map((less) => (inTurns ? within - less : within)));
    for (const seen of values) expect(Math.abs(seen - value)).toBeLessThanOrEqual(valueOff);
  });

  test.each(TIMED.filter(({ within }) => within > TURN_TICKS).map((timed) => [timed.id, timed] as const))(
    "%s not by parts that have twice as long between them",
    (_, { car: make, fault, heal, within }) => {
      for (let turn = 0; turn < TURN_TICKS; turn++) {
        const car = make();
        ticks(car, turn);
        for (let n = 0; n < 2; n++) {
          fault(car);
          ticks(car, within - TURN_TICKS);
          heal(car);
          ticks(car, 2 * within + 5 * TURN_TICKS);
        }
        expect(car.trip).toBe(NONE);
        expect(modeOf(car)).toMatch(/^(armed|flowing)$/);
      }
    },
  );

  test.each(TIMED.filter(({ within }) => within > 50).map((timed) => [timed.id, timed] as const))(
    "%s by parts that are more than a third of the time",
    (_, { id, car: make, fault, heal, within }) => {
      for (const [bad, good] of [
        [within - 3 * TURN_TICKS, 3 * TURN_TICKS],
        [4 * TURN_TICKS, 6 * TURN_TICKS],
        [TURN_TICKS, TURN_TICKS],
      ] as const) {
        const car = make();
        for (let n = 0; n < (12 * within) / bad && car.trip === NONE; n++) {
          fault(car);
          ticks(car, bad);
          heal(car);
          ticks(car, good);
        }
        expect(car.trip, `${bad} bad, ${good} good`).toBe(interlockNumber(id));
      }
    },
  );

  test.each(["SENSOR", "ADC"])("%s not by three ticks of five", (id) => {
    const { car: make, fault, heal } = TIMED.find((timed) => timed.id === id)!;
    const car = make();
    for (const bad of [true, false, true, true, false, false, false, false]) {
      (bad ? fault : heal)(car);
      car.tick();
    }
    expect(car.trip).toBe(NONE);
  });

  test("a converter that dies while a sensor is bad, when the sensor would", () => {
    const car = flowingCar(withManifold, insideManifold);
    ticks(car, 100);
    car.stuckCodes.set(1, 0);
    ticks(car, 2);
    car.raw.adcMissing = 4;
    car.tick();
    expect(car.trip).toBe(interlockNumber("ADC"));
  });

  test("a sensor that is bad in every second tick", () => {
    const sensor = TIMED.find(({ id }) => id === "SENSOR")!;
    const car = sensor.car();
    for (let n = 0; n < 10 && car.trip === NONE; n++) {
      sensor.fault(car);
      ticks(car, 1);
      sensor.heal(car);
      ticks(car, 1);
    }
    expect(car.trip).toBe(interlockNumber("SENSOR"));
  });

  test.each([
    ["LEAN", lambda, (car: Car) => put(car, lambda, "lambda", lambda.lambda!.leanestMilliLambda + 20)],
    ["ENRICH", dry, (car: Car) => car.set("enrich", false)],
  ] as const)("%s is neither counted nor forgotten while the throttle is lifted", (id, settings, fault) => {
    const car = flowingCar(settings);
    ticks(car, 100);
    fault(car);
    ticks(car, 60);
    const press = car.lift();
    ticks(car, 1000);
    expect(car.trip).toBe(NONE);
    press();
    let flowed = 0;
    for (let i = 0; i < 400 && car.trip === NONE; i++) {
      car.tick();
      if (isFed(car)) flowed++;
    }
    expect(car.trip).toBe(interlockNumber(id));
    expect(flowed).toBeLessThanOrEqual((id === "LEAN" ? 200 : 100) - 60 + 2 * TURN_TICKS);
  });
});

describe("what has flowed for its time", () => {
  test.each([700, 701, 702, 703])("a stage, never for longer: %i ms", (longestMs) => {
    const settings = smallSettings((s) => {
      s.stages[0]!.longestMs = longestMs;
    });
    const car = flowingCar(settings);
    let fed = 1;
    for (car.tick(); isFed(car); car.tick()) fed++;
    expect(car.trip).toBe(interlockNumber("TIME"));
    expect(fed).toBeLessThanOrEqual(longestMs);
    expect(fed).toBeGreaterThan(longestMs - 2 * TURN_TICKS);
  });

  test("the run, though none of its stages has", () => {
    const settings = smallSettings((s) => {
      s.flow.longestRunMs = 900;
      const [first] = s.stages;
      Object.assign(first!, { longestMs: 900, portionPermille: 500 });
      const second = structuredClone(first!);
      first!.engineSpeed = { openRpm: 3200, closeRpm: 5400, hysteresisRpm: 100 };
      second.engineSpeed = { openRpm: 5500, closeRpm: 7000, hysteresisRpm: 100 };
      s.stages.push(second);
    });
    const car = flowingCar(settings);
    let flowed = car.flowing ? 1 : 0;
    for (let i = 0; i < 1200 && car.trip === NONE; i++) {
      if (i === 500) car.point.rpm = 6000;
      car.tick();
      if (car.flowing) flowed++;
    }
    expect(car.trip).toBe(interlockNumber("TIME"));
    expect(flowed).toBe(901);
  });
});

describe("the bottle valve", () => {
  test.each([
    [990, "tripped"],
    [1010, "armed"],
  ] as const)("%i kPa behind it after its time: %s", (kpa, mode) => {
    const car = standingCar(valve);
    put(car, valve, "bottle", kpa);
    car.set("bottleValve", true);
    arm(car);
    let took = 0;
    while (modeOf(car) === "armed" && took < 600) {
      car.tick();
      took++;
    }
    expect(modeOf(car)).toBe(mode);
    if (mode === "tripped") {
      expect(car.trip).toBe(interlockNumber("VALVE"));
      expect(took).toBeLessThanOrEqual(500 + TURN_TICKS);
      expect(took).toBeGreaterThan(500 - TURN_TICKS);
    }
  });
});
