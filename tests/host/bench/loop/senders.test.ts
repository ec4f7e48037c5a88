// What senders and sensors give to the connectors: every calibration is met at its points, and a driven sender sees wheelspin.
import { fc, test as property } from "@fast-check/vitest";
import { describe, expect, test } from "vitest";
import { openConnectors, switchBits } from "#host/bench/loop/connectors.ts";
import { RELEASED } from "#host/bench/loop/script.ts";
import { type Measured, Senders, ThrottleSwitch } from "#host/bench/loop/senders.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { ROAD_SENDERS } from "#shared-schema/settings/choices.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { fullDocument } from "../../../support/documents.ts";

const SPINNING: Measured = {
  engineRpm: 6000,
  speedMS: 20,
  wheelMS: 25,
  pedal: 1,
  manifoldPa: 98_000,
  bottlePa: 6.5e6,
  fuelPa: 4e5,
  lambda: 0.82,
  batteryV: 13.8,
};

function put(settings: Document, measured: Partial<Measured> = {}) {
  const connectors = openConnectors();
  new Senders(settings).put({ ...SPINNING, ...measured }, connectors);
  return connectors;
}

const channel = (name: (typeof ADC_A)[number]): number => ADC_A.indexOf(name);

describe("a road speed sender", () => {
  test.each(ROAD_SENDERS)("%s", (sender) => {
    const settings = exampleDocument(1);
    const road = { pulsesPerKm: 4000, sender };
    const spinning = put({ ...settings, road }).roadHz;
    const gripping = put({ ...settings, road }, { wheelMS: 20 }).roadHz;
    expect(gripping).toBeCloseTo(20 * 4);
    expect(spinning).toBeCloseTo(sender === "undriven-wheel" ? 20 * 4 : 25 * 4);
  });
});

property.prop([fc.double({ min: 0, max: 1, noNaN: true })])(
  "a sensor shows the voltage of its line between its two points",
  (part) => {
    const settings = fullDocument() as unknown as Record<string, Record<string, number>>;
    const between = (low: number, high: number): number => low + (high - low) * part;
    const { bottle, fuel, manifold } = settings;
    const { sensorsMv } = put(settings as unknown as Document, {
      bottlePa: 1000 * between(bottle!.lowKpaGauge!, bottle!.highKpaGauge!),
      fuelPa: 100 * between(fuel!.lowDeciKpaGauge!, fuel!.highDeciKpaGauge!),
      manifoldPa: 100 * between(manifold!.lowDeciKpa!, manifold!.highDeciKpa!),
    });
    for (const name of ["bottle", "fuel", "manifold"] as const) {
      const { lowPointMv, highPointMv } = settings[name]!;
      expect(sensorsMv[channel(name)]).toBeCloseTo(between(lowPointMv!, highPointMv!), 6);
    }
  },
);

test("a sensor that is not fitted gives no voltage", () => {
  expect([...put(exampleDocument(1)).sensorsMv].some((mv) => mv > 0 && mv < 1e-9)).toBe(false);
  const { bottle: _, ...without } = fullDocument() as unknown as Record<string, unknown>;
  expect(put(without as unknown as Document).sensorsMv[channel("bottle")]).toBe(0);
});

test("the throttle switch closes where the position sensor calls it wide open, and opens where that ends", () => {
  const position = { opensAtPermille: 920, closesAtPermille: 850 };
  const settings = { throttle: { switch: "yes", position } } as unknown as Document;
  const contact = new ThrottleSwitch(settings);
  expect([0.5, 0.9, 0.92, 0.87, 0.84, 0.9].map((opening) => contact.at(opening))).toEqual([
    false,
    false,
    true,
    true,
    false,
    false,
  ]);
});

test("switch bits are those of the controls and the throttle", () => {
  const wanted = { ...RELEASED, pedal: 1, arm: true };
  expect(switchBits(wanted, false)).toBe(1 << SWITCH_BITS.arm);
  expect(switchBits(wanted, true)).toBe((1 << SWITCH_BITS.arm) | (1 << SWITCH_BITS.throttle));
});
