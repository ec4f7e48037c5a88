// Solenoid pins against the outputs block: frequency, duty, phase, fresh pulses, stops, and the arm switch's cut.
import { fc, test } from "@fast-check/vitest";
import { beforeEach, describe, expect } from "vitest";
import type { Edge } from "#host/bench/board/pins.ts";
import { GAP_US, PWM_STEP_US } from "#shared-schema/model/blocks.ts";
import { FIRST_SOLENOID_GPIO, gpioOf } from "#shared-schema/model/pins.ts";
import { runs } from "../../support/effort.ts";
import { ALL_OFF, BoardRig } from "./board-rig.ts";

const STEP_NS = PWM_STEP_US * 1000;
const NAMES = [1, 2, 3, 4].flatMap((stage) => [`nitrous${stage}`, `fuel${stage}`]);
const SOLENOIDS = NAMES.map((_, i) => FIRST_SOLENOID_GPIO + i);
/** Instructions between the two pin functions of a stage, and an interrupt in between, ns. */
const SWITCH_NS = 1500;

const rises = (edges: readonly Edge[]): number[] => edges.filter((e) => e.level === 1).map((e) => e.ns);
const falls = (edges: readonly Edge[]): number[] => edges.filter((e) => e.level === 0).map((e) => e.ns);
const anyHigh = (rig: BoardRig): boolean => SOLENOIDS.some((gpio) => rig.board.pins.level(gpio) === 1);

const top = fc.integer({ min: 12_499, max: 62_499 });
const share = fc.double({ min: 0.01, max: 0.99, noNaN: true });
const shares = fc.array(share, { minLength: 8, maxLength: 8 });

describe("running stages", () => {
  const rig = new BoardRig();
  beforeEach(() => rig.rest());

  test.prop([top, shares], { ...runs(12), endOnFailure: true })(
    "frequency and duty of every channel are the arithmetic's within one counter step, both channels in phase",
    (newTop, parts) => {
      rig.rest();
      const pulse = parts.map((part) => Math.max(1, Math.round(part * newTop)));
      rig.outputs = { ...ALL_OFF, top: newTop, pulse };
      rig.board.runFor((3.5 * (newTop + 1) * STEP_NS) / 1000);
      NAMES.forEach((name, i) => {
        const edges = rig.board.pins.edges(name);
        const [first, second, third] = rises(edges);
        expect(Math.abs(third! - second! - (newTop + 1) * STEP_NS)).toBeLessThanOrEqual(1);
        expect(Math.abs(second! - first! - (newTop + 1) * STEP_NS)).toBeLessThanOrEqual(STEP_NS);
        expect(Math.abs(falls(edges)[1]! - second! - pulse[i]! * STEP_NS)).toBeLessThanOrEqual(1);
        expect(Math.abs(second! - rises(rig.board.pins.edges(NAMES[i & ~1]!))[1]!)).toBeLessThanOrEqual(1);
      });
    },
  );

  test.prop([fc.integer({ min: 0, max: 50_000 }), shares], { ...runs(12), endOnFailure: true })(
    "a stage begins with a whole pulse at once, to a counter step, wherever the counter stands, and ends at once, nitrous not last",
    (afterUs, parts) => {
      rig.rest();
      rig.board.runFor(afterUs);
      const pulse = parts.map((part) => Math.max(1500, Math.round(part * ALL_OFF.top)));
      rig.outputs = { ...ALL_OFF, pulse };
      const start = rig.board.nowNs;
      rig.board.runFor(51_500);
      NAMES.forEach((name, i) => {
        const edges = rig.board.pins.edges(name);
        expect(rises(edges)[0]! - start).toBeLessThan(2e6);
        expect(falls(edges)[0]! - rises(edges)[0]!).toBeGreaterThanOrEqual(pulse[i]! * STEP_NS - SWITCH_NS);
        expect(falls(edges)[0]! - rises(edges)[0]!).toBeLessThanOrEqual(
          pulse[i]! * STEP_NS + STEP_NS + SWITCH_NS,
        );
      });
      rig.outputs = structuredClone(ALL_OFF);
      rig.board.pins.forget();
      rig.board.runFor(1100);
      expect(anyHigh(rig)).toBe(false);
      for (let stage = 1; stage <= 4; stage++) {
        const [nitrous] = falls(rig.board.pins.edges(`nitrous${stage}`));
        const [fuel] = falls(rig.board.pins.edges(`fuel${stage}`));
        if (nitrous !== undefined && fuel !== undefined) expect(nitrous).toBeLessThanOrEqual(fuel);
      }
    },
  );

  test("a gap takes its pins low for one tick, at most 1.1 ms, nitrous first and back last, and no pulse shifts", () => {
    rig.outputs = { ...ALL_OFF, pulse: [25_000, 25_000, 12_500, 12_500, 25_000, 0, 0, 0] };
    rig.board.runFor(20_000);
    const { pins } = rig.board;
    pins.forget();
    rig.outputs.gaps = 0b0001_1111;
    rig.board.runUntil(() => pins.edges("fuel1").length > 0, 2_000, 5);
    rig.outputs.gaps = 0;
    rig.board.runFor(100_000);
    const [nitrous, fuel] = [pins.edges("nitrous1"), pins.edges("fuel1")];
    expect([nitrous.length, fuel.length]).toEqual([2, 2]);
    for (const edges of [nitrous, fuel, pins.edges("nitrous3")]) {
      const lowNs = edges[1]!.ns - edges[0]!.ns;
      expect(lowNs).toBeLessThanOrEqual(GAP_US * 1000);
      expect(lowNs).toBeGreaterThan(900e3);
    }
    expect(nitrous[0]!.ns).toBeLessThanOrEqual(fuel[0]!.ns);
    expect(nitrous[1]!.ns).toBeGreaterThanOrEqual(fuel[1]!.ns);
    const [first, second] = rises(pins.edges("nitrous2")).slice(-2);
    expect(Math.abs(second! - first! - 50e6)).toBeLessThanOrEqual(1);
    expect(pins.edges("nitrous4").length).toBe(0);
  });

  test("in a gap the round of the converters sees each drain with its pin low, after its tap has followed", () => {
    rig.outputs = {
      ...ALL_OFF,
      flags: 1,
      pulse: [25_000, 25_000, 25_000, 25_000, 25_000, 25_000, 25_000, 25_000],
    };
    rig.board.runFor(60_000);
    rig.outputs.gaps = 0xff;
    rig.board.runFor(1_000);
    rig.outputs.gaps = 0;
    rig.board.runUntil(() => rig.input("solenoidPins") === 0, 3_000, 20);
    for (let n = 0; n < 8; n++) expect(rig.input("adcB", n)).toBeGreaterThan(3_000);
  });

  test("above the top a channel is high without a gap; at 0 beside a running one it is low", () => {
    rig.outputs = { ...ALL_OFF, pulse: [25_000, 0, 0, 12_000, 0, 0, 0, 0] };
    rig.board.runFor(250_000);
    expect(rig.board.pins.edges("nitrous1").length).toBe(1);
    expect(rig.board.pins.edges("fuel1").length).toBe(0);
    expect(rig.board.pins.edges("nitrous2").length).toBe(0);
    expect(rises(rig.board.pins.edges("fuel2")).length).toBe(5);
  });

  test("a change takes effect at the next pulse, and cuts none short", () => {
    rig.outputs = { ...ALL_OFF, pulse: [10_000, 12_000, 0, 0, 0, 0, 0, 0] };
    rig.board.runFor(15_000);
    rig.outputs.pulse = [5_000, 6_000, 0, 0, 0, 0, 0, 0];
    rig.board.runFor(80_000);
    const edges = rig.board.pins.edges("nitrous1");
    const lengths = falls(edges).map((ns, i) => Math.round((ns - rises(edges)[i]!) / STEP_NS));
    expect(lengths[0]).toBeGreaterThanOrEqual(10_000);
    expect(lengths[1]).toBe(5_000);
  });

  test("the retard request has the stages' period and its own duty", () => {
    rig.outputs = { ...ALL_OFF, retard: 7_000 };
    rig.board.runFor(200_000);
    const edges = rig.board.pins.edges("retard");
    const [, second, third] = rises(edges);
    expect(Math.abs(third! - second! - 25_000 * STEP_NS)).toBeLessThanOrEqual(1);
    expect(Math.abs(falls(edges)[1]! - second! - 7_000 * STEP_NS)).toBeLessThanOrEqual(1);
  });
});

describe("the arm switch", () => {
  const LONGEST_NS = 10_000;
  const ON = { ...ALL_OFF, pulse: [25_000, 25_000, 20_000, 21_000, 25_000, 25_000, 25_000, 25_000] };

  const busy = new BoardRig();

  test.prop([fc.integer({ min: 0, max: 1_999_999 }), fc.boolean()], { ...runs(60), endOnFailure: true })(
    "any edge cuts every solenoid pin within 10 us, at any moment of the loop",
    (phaseNs, bothPulsesBusy) => {
      const rig = busy;
      const { board } = rig;
      rig.rest();
      board.harness.setSwitch("arm", true);
      board.harness.setEngineHz(bothPulsesBusy ? 3_000 : 0);
      rig.outputs = structuredClone(ON);
      board.runFor(10_000);
      board.run(board.nowNs + phaseNs);
      board.pins.forget();
      const edgeNs = board.nowNs;
      rig.outputs.ackedCuts = rig.input("armCuts");
      board.harness.setSwitch("arm", false);
      board.runFor(20);
      expect(anyHigh(rig)).toBe(false);
      const last = Math.max(...NAMES.flatMap((name) => board.pins.edges(name).map((edge) => edge.ns)));
      expect(last - edgeNs).toBeLessThan(LONGEST_NS);
      for (let stage = 1; stage <= 4; stage++) {
        const [nitrous] = falls(board.pins.edges(`nitrous${stage}`));
        const [fuel] = falls(board.pins.edges(`fuel${stage}`));
        if (nitrous !== undefined && fuel !== undefined) expect(nitrous).toBeLessThan(fuel);
      }
    },
  );

  test("pins stay low until the core has seen the cut, then begin with a fresh pulse", () => {
    const rig = new BoardRig();
    rig.outputs = { ...structuredClone(ON), ackedCuts: 0 };
    rig.board.harness.setSwitch("arm", true);
    rig.board.runFor(50_000);
    expect(anyHigh(rig)).toBe(false);
    rig.outputs.ackedCuts = 1;
    rig.board.runFor(2_000);
    expect(rig.input("armCuts")).toBe(1);
    expect(rig.board.pins.level(gpioOf("nitrous2"))).toBe(1);
    expect(rig.board.pins.level(gpioOf("fuel4"))).toBe(1);
  });
});

describe("a wrap of the counter between the writes of a fresh pulse", () => {
  const CORE = { csr: 0x40050050, ctr: 0x40050058, top: 0x40050060 };
  const LONGEST_TOP = 62_499;

  test.prop([fc.integer({ min: 12_499, max: 60_000 }), share], runs(6))(
    "leaves the counter within its top: the first pulse comes at once and is whole",
    (newTop, part) => {
      const rig = new BoardRig();
      const pulse = Math.max(2_000, Math.round(part * newTop));
      rig.outputs = { ...ALL_OFF, top: LONGEST_TOP, pulse: [pulse, pulse, 0, 0, 0, 0, 0, 0] };
      rig.board.runFor(200_000);
      rig.rest();
      const { core } = rig.board.chip.rp2040;
      const { writeUint32 } = core;
      core.writeUint32 = (address, value) => {
        writeUint32.call(core, address, value);
        if (address !== CORE.top) return;
        core.writeUint32 = writeUint32;
        if (core.readUint32(CORE.csr) & 1) writeUint32.call(core, CORE.ctr, LONGEST_TOP);
        rig.board.chip.runner.wait(600);
      };
      rig.outputs = { ...ALL_OFF, top: newTop, pulse: [pulse, pulse, 0, 0, 0, 0, 0, 0] };
      const startNs = rig.board.nowNs;
      rig.board.runFor(3_000);
      expect(rises(rig.board.pins.edges("nitrous1"))[0]! - startNs).toBeLessThan(2e6);
    },
  );
});
