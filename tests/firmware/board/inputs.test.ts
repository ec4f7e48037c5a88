// The inputs block against the car's side of the connectors: switches, converters, pulses, serial bytes.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { SENSOR_UV_PER_CODE, SUPPLY_MV_PER_CODE, SWITCH_BITS, TICK_US } from "#shared-schema/model/blocks.ts";
import { ADC_A, SLOW_SWITCHES } from "#shared-schema/model/pins.ts";
import { runs } from "../../support/effort.ts";
import { ALL_OFF, BoardRig } from "./board-rig.ts";

const FAST = ["arm", "throttle", "launch"] as const;
const ROUND_US = 3 * TICK_US;
const bits = fc.array(fc.boolean(), { minLength: 7, maxLength: 7 });

describe("switches", () => {
  const rig = new BoardRig();
  test.prop([bits], { ...runs(20), endOnFailure: true })("each closed switch is its bit", (closed) => {
    const names = [...FAST, ...SLOW_SWITCHES];
    names.forEach((name, i) => {
      if (i < FAST.length) rig.board.harness.setSwitch(name as (typeof FAST)[number], closed[i]!);
      else rig.board.harness.setSlowSwitch(name as (typeof SLOW_SWITCHES)[number], closed[i]!);
    });
    rig.board.runFor(ROUND_US);
    const expected = names.reduce((word, name, i) => word | (closed[i] ? 1 << SWITCH_BITS[name] : 0), 0);
    expect(rig.input("switches")).toBe(expected);
  });
});

describe("a switch register with a fault", () => {
  const rig = new BoardRig();

  test.each(["open", "dead", "serial-low"] as const)("%s: all its switches read as open", (fault) => {
    const slow = SLOW_SWITCHES.reduce((word, name) => word | (1 << SWITCH_BITS[name]), 0);
    for (const name of SLOW_SWITCHES) rig.board.harness.setSlowSwitch(name, true);
    rig.board.runFor(ROUND_US);
    expect(rig.input("switches") & slow).toBe(slow);
    rig.board.harness.register.fault = fault;
    rig.board.runFor(ROUND_US);
    expect(rig.input("switches") & slow).toBe(0);
    rig.board.harness.register.fault = "none";
    rig.board.runFor(ROUND_US);
    expect(rig.input("switches") & slow).toBe(slow);
  });
});

describe("converters", () => {
  const rig = new BoardRig();
  const sensors = ADC_A.filter((name) => name !== "battery" && name !== "driverSupply");
  const millivolts = fc.array(fc.integer({ min: 0, max: 5000 }), { minLength: 6, maxLength: 6 });

  test.prop([millivolts, fc.integer({ min: 8000, max: 16_000 })], { ...runs(20), endOnFailure: true })(
    "ADC A holds every sensor's code, none missing",
    (mv, battery) => {
      sensors.forEach((name, i) => {
        rig.board.harness.setSensorMv(name, mv[i]!);
      });
      rig.board.harness.batteryMv = battery;
      rig.board.runFor(ROUND_US);
      sensors.forEach((name, i) => {
        const code = Math.min(4095, Math.floor((mv[i]! * 1000) / SENSOR_UV_PER_CODE));
        expect(rig.input("adcA", ADC_A.indexOf(name)), name).toBe(code);
      });
      expect(rig.input("adcA", ADC_A.indexOf("battery"))).toBe(Math.floor(battery / SUPPLY_MV_PER_CODE));
      expect(rig.input("adcMissing")).toBe(0);
    },
  );

  test("a converter that does not answer is missing, channel by channel, and the other one is not", () => {
    rig.board.harness.adcB.dead = true;
    rig.board.runFor(ROUND_US);
    expect(rig.input("adcMissing")).toBe(0xff00);
    rig.board.harness.adcB.dead = false;
    rig.board.harness.adcA.dead = true;
    rig.board.runFor(ROUND_US);
    expect(rig.input("adcMissing")).toBe(0x00ff);
    rig.board.harness.adcA.dead = false;
  });

  test("one round is finished in every tick, and each select rests 500 ns between conversions", () => {
    const before = rig.input("adcRounds");
    rig.board.runFor(100 * TICK_US);
    expect(rig.input("adcRounds") - before).toBe(100);
    expect(rig.board.harness.adcA.shortestHighNs).toBeGreaterThan(500);
    expect(rig.board.harness.adcB.shortestHighNs).toBeGreaterThan(500);
  });

  test("the supply behind the relay, and the drains with the level that each pin had, follow the outputs", () => {
    const { harness } = rig.board;
    const code = Math.floor(harness.batteryMv / SUPPLY_MV_PER_CODE);
    rig.outputs = { ...ALL_OFF, flags: 1, pulse: [0, 0, 25_000, 25_000, 0, 0, 0, 25_000] };
    rig.board.runFor(40_000);
    expect(harness.relay.closed).toBe(true);
    expect(rig.input("adcA", ADC_A.indexOf("driverSupply"))).toBe(code);
    expect(rig.input("solenoidPins")).toBe(0b1000_1100);
    for (let i = 0; i < 8; i++) {
      if ((0b1000_1100 >> i) & 1) expect(rig.input("adcB", i)).toBeLessThan(code / 2);
      else expect(rig.input("adcB", i)).toBe(code);
    }
  });
});

describe("pulses", () => {
  const rig = new BoardRig();
  const ranHz = { engine: 0, road: 0 };
  test.prop([fc.integer({ min: 5, max: 2_000 }), fc.integer({ min: 5, max: 2_000 })], {
    ...runs(10),
    endOnFailure: true,
  })("counts and periods of both trains, to a microsecond", (engineHz, roadHz) => {
    const before = { engine: rig.input("enginePulses"), road: rig.input("roadPulses") };
    rig.board.harness.setEngineHz(engineHz);
    rig.board.harness.setRoadHz(roadHz);
    const us = Math.ceil(4e6 / Math.min(engineHz, roadHz));
    rig.board.runFor(us);
    for (const [train, hz] of [
      ["engine", engineHz],
      ["road", roadHz],
    ] as const) {
      // The inputs are up to a tick old, at the beginning and at the end.
      const most = 2 + (hz + ranHz[train]) * 1e-3;
      expect(Math.abs(rig.input(`${train}Pulses`) - before[train] - (us * hz) / 1e6)).toBeLessThanOrEqual(
        most,
      );
      ranHz[train] = hz;
      expect(Math.abs(rig.input(`${train}PeriodUs`) - 1e6 / hz)).toBeLessThanOrEqual(2);
    }
  });
});

describe("the serial line", () => {
  test("bytes that find no room are counted, not written anywhere", () => {
    const rig = new BoardRig();
    rig.board.watch("uart_transmitter_free", () => {
      const { registers } = rig.board.chip.rp2040.core;
      registers[0] = 0;
      registers[15] = registers[14]! & ~1;
    });
    rig.board.serial.send(new Uint8Array(1024 + 300).fill(0x55));
    rig.board.runFor(150_000);
    expect(rig.input("rxLost")).toBe(300);
    expect(rig.board.starts.length).toBe(1);
  });
});
