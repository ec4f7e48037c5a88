// Supply, fuses, grounds and heat of hardware-notes: what flows, what stands it, and what the former values would have done.
import { test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { CIRCUIT } from "#shared-schema/circuit/circuit.ts";
import { PINS } from "#shared-schema/model/pins.ts";
import { wordAt } from "#shared-schema/settings/words.ts";
import { noteText, value } from "./values.ts";

const COILS = PINS.filter((pin) => pin.kind === "solenoid").length;
const carries = (fuse: number, amperes: number): boolean => amperes <= value("supply.fuse-share") * fuse;

describe("a fuse carries what hangs on it for long", () => {
  const coils = COILS * value("coil.current");
  const all = coils + value("coil.current");

  test("the main fuse: eight coils and the bottle valve; 30 A would not", () => {
    expect(coils).toBeCloseTo(value("supply.coils"), 6);
    expect(all).toBeCloseTo(value("supply.coils-and-valve"), 6);
    expect(carries(value("supply.fuse-main"), all)).toBe(true);
    expect(carries(30, all)).toBe(false);
  });

  test("the fuse of a stage: its two coils, and it blows long before the main fuse", () => {
    expect(2 * value("coil.current")).toBeCloseTo(value("supply.stage"), 6);
    expect(carries(value("supply.fuse-stage"), value("supply.stage"))).toBe(true);
    expect(value("supply.fuse-main")).toBeGreaterThanOrEqual(4 * value("supply.fuse-stage"));
    expect(value("coil.low-current")).toBeCloseTo(value("coil.supply") / value("coil.low-resistance"), 6);
    expect(carries(value("supply.fuse-stage"), 2 * value("coil.low-current"))).toBe(false);
  });

  /** Current of the controller at a supply: 5 V converter, coils of K1 and of the heater relay, seven closed switches. */
  const controller = (supply: number): number => {
    const five = value("pump.supply") * value("supply.five-current");
    const input = value("switch.series") + value("switch.pulldown");
    return (
      five / (value("supply.efficiency") * (supply - value("supply.series-drop"))) +
      (2 * supply) / value("relay.resistance") +
      7 * (supply / value("switch.load") + supply / input)
    );
  };

  test("the controller's fuse, running and at a jump start; 1 A would not", () => {
    expect(controller(14.4)).toBeCloseTo(value("supply.controller"), 2);
    expect(controller(value("supply.jump"))).toBeCloseTo(value("supply.controller-jump"), 2);
    expect(carries(value("supply.fuse-controller"), value("supply.controller-jump"))).toBe(true);
    expect(carries(value("supply.fuse-controller"), controller(value("supply.crank")))).toBe(true);
    expect(carries(1, value("supply.controller-jump"))).toBe(false);
  });

  test("contacts at half their rating, and the drop in the wire", () => {
    expect(all).toBeLessThan(value("supply.contact") / 2);
    // Copper: 0.0175 ohm for a metre of 1 mm2 (from memory).
    expect((all * 0.0175 * 4) / 6).toBeCloseTo(value("supply.wire-drop"), 2);
  });

  test("the sensors stay inside the limit of their supply", () => {
    expect(6 * 0.01).toBeCloseTo(value("supply.sensors"), 6);
    expect(value("supply.sensors")).toBeLessThan(value("supply.sensors-limit"));
    expect(value("supply.sensors-limit")).toBeLessThan(value("supply.five-current"));
  });
});

describe("the supply's extremes", () => {
  test("cranking: the 5 V converter still has its least input", () => {
    expect(value("supply.crank") - value("supply.series-drop")).toBeGreaterThanOrEqual(
      value("supply.converter-lowest"),
    );
  });

  test("jump start and limited load dump: the suppressor does not conduct", () => {
    expect(value("supply.jump")).toBeLessThan(value("dump.stand-off"));
    // The breakdown of such a part begins a tenth above its stand-off (from memory).
    expect(value("dump.limited")).toBeLessThan(1.1 * value("dump.stand-off"));
    // A suppressor of 24 V stand-off would conduct at a jump start.
    expect(24).toBeLessThan(value("supply.jump"));
  });

  /** An unlimited load dump in small steps: 13.5 V and a part that falls to a tenth in `dump.time`. */
  function loadDump(): { current: number; node: number; energy: number } {
    const slope = (value("dump.clamp") - value("dump.breakdown-highest")) / value("dump.rated-current");
    const fall = value("dump.time") / Math.log(10);
    const result = { current: 0, node: 0, energy: 0 };
    const step = 1e-4;
    for (let now = 0; now < 1; now += step) {
      const open = 13.5 + (value("dump.open") - 13.5) * Math.exp(-now / fall);
      const current = Math.max(0, (open - value("dump.breakdown-highest")) / (value("dump.source") + slope));
      const node = value("dump.breakdown-highest") + current * slope;
      result.energy += current * node * step;
      result.current = Math.max(result.current, current);
      result.node = Math.max(result.node, node);
    }
    return result;
  }

  test("unlimited load dump: every part stands the voltage, but the suppressor does not stand the heat", () => {
    const dump = loadDump();
    expect(dump.current).toBeCloseTo(value("dump.current"), 0);
    expect(dump.node).toBeCloseTo(value("dump.node"), 1);
    expect(Math.round(dump.energy)).toBe(value("dump.energy"));
    expect(dump.energy).toBeGreaterThan(value("dump.stands"));
    expect(value("dump.clamp")).toBeLessThan(value("supply.converter-input"));
    expect(dump.current).toBeGreaterThan(1.5 * value("supply.fuse-main"));
  });
});

describe("the grounds", () => {
  test("with one link left the logic plane hardly moves", () => {
    expect(value("ground.link") * value("supply.controller")).toBeCloseTo(value("ground.shift"), 3);
  });

  test("with both links open, the diode keeps every gate under its threshold; without it nothing would", () => {
    const gate = (lift: number): number => lift + value("ground.low");
    expect(gate(value("ground.lift"))).toBeLessThan(value("driver.fet-threshold"));
    expect(gate(12.8)).toBeGreaterThan(value("driver.fet-threshold"));
  });
});

/** Heat of one clamp at a frequency, W: at the duty where it is worst and the current still ends in each period. */
function clampHeat(henry: number, ohm: number, hertz: number): number {
  const clamp = value("clamp.voltage");
  const period = 1 / hertz;
  let worst = 0;
  for (let onS = 0; onS < period; onS += period / 1000) {
    const from = (value("coil.supply") / ohm) * (1 - Math.exp((-onS * ohm) / henry));
    const ends = (henry / ohm) * Math.log((from * ohm + clamp) / clamp);
    if (onS + ends > period) break;
    worst = Math.max(worst, hertz * clamp * ((henry / ohm) * from - (clamp / ohm) * ends));
  }
  return worst;
}

describe("heat", () => {
  const usual = (hertz: number): number =>
    clampHeat(value("coil.inductance"), value("coil.resistance"), hertz);
  const low = (hertz: number): number =>
    clampHeat(value("coil.low-inductance"), value("coil.low-resistance"), hertz);

  test("of one clamp against its rating", () => {
    expect(usual(40)).toBeCloseTo(value("clamp.power-40"), 1);
    expect(low(20)).toBeCloseTo(value("clamp.power-low"), 1);
    expect(low(40)).toBeCloseTo(value("clamp.power-low-40"), 1);
    for (const key of ["clamp.power", "clamp.power-40", "clamp.power-low"])
      expect(value(key)).toBeLessThan(value("clamp.power-rating"));
    expect(value("clamp.power-low-40")).toBeGreaterThan(value("clamp.power-rating"));
  });

  test("of eight clamps and of the box", () => {
    const sums: [string, number][] = [
      ["heat.clamps-20", usual(20)],
      ["heat.clamps-40", usual(40)],
      ["heat.clamps-low-20", low(20)],
      ["heat.clamps-low-40", low(40)],
      ["heat.drivers", value("driver.fet-power")],
    ];
    for (const [key, each] of sums)
      expect(COILS * each).toBeCloseTo(value(key), key === "heat.drivers" ? 6 : -0.3);
    const box = value("heat.clamps-40") + value("heat.drivers") + value("heat.rest");
    expect(Math.round(box)).toBe(value("heat.box"));
  });

  test("warms the wall little in the longest run", () => {
    expect(value("heat.longest-run")).toBe(wordAt("flow.longestRunMs").max / 1000);
    const coils = 2 * value("relay.current") * 14.4;
    expect(coils + value("heat.rest")).toBeCloseTo(value("heat.standing"), 1);
    const [length, width, height] = [0.25, 0.16, 0.08];
    const surface = 2 * (length * width + length * height + width * height);
    expect(10 * surface).toBeCloseTo(value("heat.loss"), 1);
    expect(noteText("parts.md")).toContain("250 mm by 160 mm by 80 mm");
    expect(value("heat.standing") / value("heat.loss")).toBeCloseTo(value("heat.rise-standing"), 1);
    expect(Math.round((Math.log(2) * value("heat.wall")) / value("heat.loss"))).toBe(value("heat.half"));
    expect(0.5 * 900).toBe(value("heat.wall"));
    expect((value("heat.box") * value("heat.longest-run")) / value("heat.wall")).toBeCloseTo(
      value("heat.rise"),
      1,
    );
  });
});

describe("loads, fuses and limits on the bench fit", () => {
  const OUTPUTS = CIRCUIT.parts.filter(
    ({ value: key, kind }) => kind === "coil" && key === "coil.resistance",
  ).length;

  test("first power: controller and the coil of K2", () => {
    const sum = value("bench.board") + value("relay.current");
    expect(sum).toBeCloseTo(value("bench.first"), 2);
    expect(sum).toBeLessThan(0.8 * value("bench.limit-first"));
    // 0.3 A, without K2 counted, would not have started.
    expect(sum).toBeGreaterThan(0.3);
  });

  test("switches: the coil of K1 and seven closed switches more", () => {
    const sum = value("bench.first") + value("relay.current") + 7 * (14.4 / value("switch.load"));
    expect(sum).toBeCloseTo(value("bench.switches"), 2);
    expect(sum).toBeLessThan(0.8 * value("bench.limit-switches"));
  });

  test("lamps and dummy coils on the fuse of the bench; lamps of 21 W on 5 A would not", () => {
    const lamps = (watts: number): number => (OUTPUTS * watts) / 12;
    expect(lamps(value("bench.lamp"))).toBeCloseTo(value("bench.lamps"), 6);
    expect(10 * value("bench.lamps")).toBeCloseTo(value("bench.inrush"), 6);
    expect(3.5 * value("bench.fuse")).toBeCloseTo(value("bench.fuse-stands"), 0);
    expect(value("bench.inrush")).toBeLessThan(value("bench.fuse-stands"));
    expect(OUTPUTS * value("relay.current")).toBeCloseTo(value("bench.dummies"), 1);
    expect(value("relay.current")).toBeLessThan(0.2 * value("bench.key-fuse"));
    expect(value("bench.key-fuse")).toBeLessThanOrEqual(0.5 * value("wire.fuse"));
    for (const load of ["bench.lamps", "bench.dummies"])
      expect(carries(value("bench.fuse"), value(load) + value("bench.switches"))).toBe(true);
    expect(carries(5, lamps(21))).toBe(false);
  });
});
