// What lies outside the board: connectors, the car's parts, and every wire of box and harness with its gauge and fuse.
import { fedBy, LOGIC_OUTPUTS, VALVES } from "./drivers.ts";
import { PULSES, SENSORS, SWITCHES } from "./inputs.ts";
import { type Part, part, pin, two, type Wire } from "./part.ts";
import { relay } from "./supply.ts";

/** A connector by the nets of its pins, in order. */
function connector(
  ref: string,
  words: string,
  amps: number,
  nets: readonly string[],
  place: Part["place"] = "box",
): Part {
  const own = nets.map((net, i) => pin(i + 1, String(i + 1), "passive", net));
  return part(ref, "connector", own, { part: `${words}, ${nets.length} pins`, rating: { amps }, place });
}

const SEALED = "locking, sealed connector";

const CONNECTORS: readonly Part[] = [
  connector("X1", "two studs for the ground wires and a screw terminal for the key", 40, [
    "star",
    "star",
    "key",
  ]),
  connector(
    "X2",
    SEALED,
    10,
    VALVES.flatMap((name, i) => [fedBy(i + 1), `${name}.drain`]),
  ),
  connector(
    "X3",
    SEALED,
    3,
    SWITCHES.flatMap((name) => ["feed", name]),
  ),
  connector(
    "X4",
    SEALED,
    3,
    SENSORS.flatMap((name) => ["sensor5", `${name}.signal`, "gnd"]),
  ),
  connector("X5", SEALED, 3, [
    ...PULSES.map((name) => `${name}.signal`),
    ...LOGIC_OUTPUTS.map((name) => `${name}.out`),
    "feed",
    "heater.drain",
  ]),
  connector("X6", "three-pin header for a serial adapter of 3.3 V", 1, ["gnd", "uartTx.out", "uartRx.in"]),
  connector(
    "X8",
    "terminals on the board for the relays",
    40,
    ["key.diode", "star", "pump.coil", "star", "main", "drv"],
    "board",
  ),
];

const valve = (name: string, i: number): Part =>
  two(`Y${i + 1}`, "coil", `Y${i + 1}.supply`, `Y${i + 1}.drain`, {
    part: `coil of the valve ${name}`,
    value: "coil.resistance",
    place: "car",
  });

/** Reference of the switch at position i: the arm switch is S1; S2 is the car's key. */
const switchRef = (i: number): string => `S${i === 0 ? 1 : i + 2}`;

function hand(name: string, i: number): Part {
  const words = name === "arm" ? "arm switch, guarded" : `${name.replace("Switch", "")} switch`;
  return two(switchRef(i), "switch", `${switchRef(i)}.feed`, `${switchRef(i)}.out`, {
    part: words,
    rating: { amps: name === "arm" ? 2 : 0.1 },
    place: "car",
  });
}

function sensor(name: string, i: number): Part {
  const ref = `B${i + 1}`;
  const own = ["supply", "signal", "ground"].map((leg, n) => pin(n + 1, leg, "passive", `${ref}.${leg}`));
  return part(ref, "sensor", own, { part: `${name} sensor, 0 V to 5 V`, place: "car" });
}

function sender(name: string, i: number): Part {
  const ref = `B${7 + i}`;
  const own = [pin(1, "signal", "out", `${ref}.signal`), pin(2, "ground", "ground", "battery.minus")];
  return part(ref, "sender", own, { part: `${name} speed, square wave of 12 V`, place: "car" });
}

const CAR: readonly Part[] = [
  part("BT1", "battery", [pin("+", "+", "power", "battery"), pin("-", "-", "ground", "battery.minus")], {
    part: "the car's battery, 12 V",
    place: "car",
  }),
  two("F9", "fuse", "battery", "key.fused", {
    part: "fuse of the key's circuit, the car's own",
    place: "car",
  }),
  two("S2", "switch", "key.fused", "key.switched", { part: "the car's key", place: "car" }),
  ...VALVES.map(valve),
  ...SWITCHES.map(hand),
  ...SENSORS.map(sensor),
  ...PULSES.map(sender),
  {
    ...relay(
      "K3",
      ["K3.feed", "K3.drain", "", ""],
      "heater relay, 12 V coil, contact for the heater's current",
    ),
    place: "car",
  },
  part(
    "E1",
    "load",
    [
      ...LOGIC_OUTPUTS.map((name, i) => pin(i + 1, name, "in", `E1.${name}`)),
      pin(3, "ground", "ground", "battery.minus"),
    ],
    { part: "engine computer and ignition, logic inputs of 5 V", place: "car" },
  ),
  part(
    "E2",
    "load",
    [
      pin(1, "ground", "ground", "E2.ground"),
      pin(2, "receive", "in", "E2.receive"),
      pin(3, "transmit", "out", "E2.transmit"),
    ],
    { part: "serial adapter of 3.3 V, isolated", place: "car" },
  ),
];

interface Run {
  mm2: number;
  metres: number;
  fuse: string;
  carries: string;
}

const wire = (ref: string, from: string, to: string, run: Run, what: string): Wire => ({
  ref,
  from,
  to,
  ...run,
  what,
});
const thick = (metres: number): Run => ({ mm2: 6, metres, fuse: "F1", carries: "supply.coils-and-valve" });
const thin = (fuse: string, carries: string, metres = 3): Run => ({ mm2: 0.5, metres, fuse, carries });

const BOX_WIRES: readonly Wire[] = [
  wire("W1", "X1.1", "BT1.-", thick(2), "ground, for the whole current"),
  wire("W2", "X1.2", "BT1.-", thick(2), "ground once more, by another way"),
  wire("W3", "F1.2", "K2.30", thick(2), "battery behind F1 to polarity relay"),
  wire("W4", "K2.87", "K1.30", thick(0.2), "polarity relay to master relay"),
  wire("W5", "K1.87", "X8.6", thick(0.2), "driver supply"),
  wire("W6", "K2.87", "X8.5", thick(0.2), "supply of the controller, and D13"),
  wire("W7", "X8.1", "K2.86", thin("F9", "relay.current", 0.2), "coil of K2"),
  wire("W8", "X8.2", "K2.85", thin("F9", "relay.current", 0.2), "coil of K2, ground"),
  wire("W9", "X8.3", "K1.86", thin("F2", "relay.current", 0.2), "coil of K1, from Q2"),
  wire("W10", "X8.4", "K1.85", thin("F2", "relay.current", 0.2), "coil of K1, ground"),
  wire("W103", "S2.2", "X1.3", thin("F9", "relay.current"), "key"),
];

/** Reference of the wire at a connector's pin: X2, pin 5 has W205. */
const at = (connectorNumber: number, n: number): string => `W${connectorNumber}${String(n).padStart(2, "0")}`;

function valveWires(name: string, i: number): Wire[] {
  const stage = Math.floor(i / 2);
  const run = { mm2: 1.5, metres: 3, fuse: `F${3 + stage}`, carries: "coil.current" };
  return [
    wire(at(2, 2 * i + 1), `X2.${2 * i + 1}`, `Y${i + 1}.1`, run, `${name}, supply`),
    wire(at(2, 2 * i + 2), `X2.${2 * i + 2}`, `Y${i + 1}.2`, run, `${name}, to its driver`),
  ];
}

function switchWires(name: string, i: number): Wire[] {
  const run = thin("F2", "supply.controller");
  return [
    wire(at(3, 2 * i + 1), `X3.${2 * i + 1}`, `${switchRef(i)}.1`, run, `${name}, feed`),
    wire(at(3, 2 * i + 2), `X3.${2 * i + 2}`, `${switchRef(i)}.2`, run, `${name}, back`),
  ];
}

const sensorWires = (name: string, i: number): Wire[] =>
  ["supply", "signal", "ground"].map((leg, n) =>
    wire(
      at(4, 3 * i + n + 1),
      `X4.${3 * i + n + 1}`,
      `B${i + 1}.${n + 1}`,
      thin("U4", "supply.sensors-limit"),
      `${name}, ${leg}`,
    ),
  );

const OTHER_WIRES: readonly Wire[] = [
  ...PULSES.map((name, i) =>
    wire(
      at(5, i + 1),
      `X5.${i + 1}`,
      `B${7 + i}.1`,
      thin("-", "rail.one-sensor"),
      `${name} pulses, shielded`,
    ),
  ),
  ...LOGIC_OUTPUTS.map((name, i) =>
    wire(at(5, i + 3), `X5.${i + 3}`, `E1.${i + 1}`, thin("-", "rail.one-sensor"), name),
  ),
  ...["ground", "receive of the adapter", "transmit of the adapter"].map((what, i) =>
    wire(at(6, i + 1), `X6.${i + 1}`, `E2.${i + 1}`, thin("-", "rail.one-sensor", 1), `serial line, ${what}`),
  ),
  wire(at(5, 5), "X5.5", "K3.86", thin("F2", "relay.current"), "heater relay, supply"),
  wire(at(5, 6), "X5.6", "K3.85", thin("F2", "relay.current"), "heater relay, to its driver"),
];

export const OUTSIDE: readonly Part[] = [...CONNECTORS, ...CAR];
export const WIRES: readonly Wire[] = [
  ...BOX_WIRES,
  ...VALVES.flatMap(valveWires),
  ...SWITCHES.flatMap(switchWires),
  ...SENSORS.flatMap(sensorWires),
  ...OTHER_WIRES,
];
