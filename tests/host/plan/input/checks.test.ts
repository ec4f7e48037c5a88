/** Contradictions of a car file: each is found, placed, and says what contradicts what. */
import { describe, expect, test } from "vitest";
import { one, UNDRIVEN } from "./refused.ts";

const ENGINE = "power: 220 kW, power-at: 6000 rpm, rev-limiter: 6800 rpm";

describe("sense", () => {
  test.each<[string, Readonly<Record<string, string>>, string, string]>([
    [
      "power above the limiter",
      { engine: "{power: 220 kW, power-at: 7000 rpm, rev-limiter: 6800 rpm}" },
      "engine.power-at",
      "above the rev limiter",
    ],
    [
      "redline under the opening speed",
      { engine: "{power: 60 kW, power-at: 3000 rpm, rev-limiter: 3500 rpm}" },
      "engine.rev-limiter",
      "no window",
    ],
    [
      "bottle warmer than critical",
      { nitrous: "{bottle-temperature: 40 C}" },
      "nitrous.bottle-temperature",
      "critical",
    ],
    [
      "bottle pressure beyond critical",
      { nitrous: "{bottle-pressure: 1050 psi gauge}" },
      "nitrous.bottle-pressure",
      "1036 psi gauge",
    ],
    [
      "pressure and temperature apart",
      { nitrous: "{bottle-pressure: 900 psi gauge, bottle-temperature: 20 C}" },
      "nitrous.bottle-temperature",
      "contradict each other",
    ],
    ["overfilled bottle", { nitrous: "{charge: 10 lb, volume: 5.5 L}" }, "nitrous.charge", "68 %"],
    ["limit under the engine's own torque", { limits: "{clutch: 200 Nm}" }, "limits.clutch", "engine alone"],
    ["no goal", { goal: "{}" }, "goal", "exactly one goal"],
    ["two goals", { goal: "{added-power: 100 hp, quarter-mile: 12 s}" }, "goal", "exactly one goal"],
    [
      "dry without enrichment",
      { goal: "{added-power: 50 hp, system: dry}" },
      "goal.system",
      "engine computer",
    ],
    [
      "ramp over road speed without a sensor",
      { goal: "{added-power: 50 hp, ramp: road-speed}" },
      "goal.ramp",
      "road speed sensor",
    ],
    [
      "an undriven wheel where all are driven",
      { car: "{mass: 1500 kg, driven: all}", controls: UNDRIVEN },
      "controls.road-sender",
      "no undriven wheel",
    ],
    [
      "a road speed sender without its pulses",
      { controls: "{road-sender: driveshaft}" },
      "controls.road-sender",
      "not its pulses",
    ],
    ["rising gear ratios", { gearbox: "{ratios: [2, 3, 1]}" }, "gearbox.ratios", "fall"],
    [
      "shift above the limiter",
      { gearbox: "{shift-at: 7500 rpm}" },
      "gearbox.shift-at",
      "above the rev limiter",
    ],
    [
      "unordered torque curve",
      { engine: `{${ENGINE}, torque-curve: [[3000 rpm, 350 Nm], [2000 rpm, 350 Nm], [6000 rpm, 350 Nm]]}` },
      "engine.torque-curve",
      "must rise",
    ],
    [
      "curve that is not the stated power",
      { engine: `{${ENGINE}, torque-curve: [[2000 rpm, 100 Nm], [4000 rpm, 100 Nm], [6800 rpm, 90 Nm]]}` },
      "engine.torque-curve",
      "peak power",
    ],
    [
      "fuel pressure under boost",
      { engine: `{${ENGINE}, boost: 20 psi gauge}`, fuel: "{pressure: 15 psi gauge}" },
      "fuel.pressure",
      "not above manifold",
    ],
    [
      "own fuel without its numbers",
      { fuel: "{kind: own, density: 700 kg/m3, air-ratio: 12}" },
      "fuel.kind",
      "heating-value",
    ],
    [
      "a solenoid that opens slower at a higher voltage",
      { nitrous: "{solenoid-opening: 9 ms, solenoid-opening-14V: 12 ms}" },
      "nitrous.solenoid-opening",
      "slower at a higher voltage",
    ],
    [
      "two points of one slip",
      { tyres: "{slip-curve: [[3 %, 0.7], [9 %, 1.1], [9 %, 1.0]]}" },
      "tyres.slip-curve",
      "same slip",
    ],
    [
      "a window of the bottle beside its working pressure",
      { nitrous: "{bottle-window: [500 psi, 800 psi]}" },
      "nitrous.bottle-window",
      "does not lie inside",
    ],
    [
      "a window that is narrower than what the first flow takes",
      { nitrous: "{bottle-window: [880 psi, 905 psi]}" },
      "nitrous.bottle-window",
      "only 25 psi wide",
    ],
    [
      "a working pressure at which flow that was held off would not begin again",
      { nitrous: "{bottle-window: [890 psi, 960 psi]}" },
      "nitrous.bottle-window",
      "only 10 psi above the lowest",
    ],
    [
      "a working pressure under every window",
      { nitrous: "{bottle-pressure: 420 psi}" },
      "nitrous.bottle-pressure",
      "does not lie inside",
    ],
    [
      "a bottle sensor that does not reach",
      { controls: "{bottle-sensor-reach: 1000 psi}", nitrous: "{bottle-pressure: 950 psi}" },
      "controls.bottle-sensor-reach",
      "above what its sensor reads",
    ],
    [
      "pulses that two revolutions cannot give",
      { controls: "{engine-pulses: 1.2 pulses/rev}" },
      "controls.engine-pulses",
      "whole number of pulses in two revolutions",
    ],
    [
      "more pulses than a coil gives",
      { controls: "{engine-sensor: coil, engine-pulses: 3 pulses/rev}" },
      "controls.engine-pulses",
      "one pulse a revolution",
    ],
    [
      "frequency too high for the solenoid",
      { nitrous: "{frequency: 40 Hz, solenoid-opening: 14 ms}" },
      "nitrous.frequency",
      "no time",
    ],
  ])("%s", (_, extra, path, words) => {
    const error = one(extra);
    expect(error).toMatchObject({ path });
    expect(error.message).toContain(words);
    expect(error.line).toBeGreaterThan(0);
  });
});
