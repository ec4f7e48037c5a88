// Battery voltage on the wire to the relay's coil, arm switch off: what the arm input reads with the diode D5 and without it.
import { describe, expect, test } from "vitest";
import { value } from "./values.ts";

const BATTERY = 14.4;
const input = value("switch.series") + value("switch.pulldown");
const load = 1 / (1 / value("switch.load") + 1 / input);
const atPin = (node: number): number => (node * value("switch.pulldown")) / input;

describe("battery on the wire to the relay's coil", () => {
  test("without D5 comes back through the diode inside Q2, and the arm input reads on", () => {
    expect(atPin(BATTERY - value("clamp.diode"))).toBeGreaterThan(value("pin.high"));
  });

  test("with D5 leaves the arm node to the load, and the arm input reads off", () => {
    const node = value("pump.source-leak") * load;
    expect(node).toBeLessThan(value("switch.low"));
    expect(atPin(node)).toBeLessThan(value("pin.low"));
  });

  test("the relay still closes through D14 and D5 at the lowest battery of the example file", () => {
    const lowest = 10.5;
    expect(
      (lowest - value("supply.series-drop") - value("pump.source-diode")) / value("relay.resistance"),
    ).toBeGreaterThan(value("relay.pull-in"));
  });
});
