// Rules about what parts and wires withstand: voltages, heat of resistors and clamps, fuses that protect their wires.
import { partOf } from "./circuit.ts";
import type { Values } from "./graph.ts";
import type { Circuit, CircuitPin, Part, Wire } from "./part.ts";
import type { CircuitRule } from "./rules-connected.ts";

/** Highest voltages of a net against ground: `peak` in a load dump, `steady` for long (a jump start). */
interface Level {
  readonly peak: number;
  readonly steady: number;
}

const same = (volts: number): Level => ({ peak: volts, steady: volts });
const FIVE = same(5.25);
const LOW: readonly (readonly [RegExp, Level])[] = [
  [/^(gnd|star|k\d\.ground|battery\.minus|.*\.ground)$/, same(0)],
  [/^(3v3|rail|rail\.ref|.*\.adc|.*\.tap|.*\.register|register\.out)$/, same(3.7)],
  [/^(spi|adc|uart).*$|^.*(Switch|Pulse)$/, same(3.7)],
  // A sensor's supply wire may lie on the battery, up to the voltage above which nothing flows.
  [/^sensor5$/, same(16.5)],
  [/^(5v|vsys|.*\.(buffer|gate|out)|pump\.(first|second|r1|r2|c1|c2|out|base)|keepAlive.*)$/, FIVE],
];

/** Level of a net. A drain kicks to its supply, the clamp and a diode; what is not named stands at the battery's worst. */
function levelOf(net: string, values: Values): Level {
  const known = net === "pump.gate" ? undefined : LOW.find(([pattern]) => pattern.test(net));
  if (known) return known[1];
  const kick = values("clamp.highest") + values("clamp.diode");
  const worst = { peak: values("dump.node"), steady: values("supply.jump") };
  const outputs = /^(stageActive|retard|heater|purge|bottleValve|(nitrous|fuel)\d)$/;
  if (outputs.test(net)) return same(3.7);
  return /drain|bias|^clamp/.test(net) ? { peak: worst.peak + kick, steady: worst.steady } : worst;
}

const number = (rated: number | string | undefined, values: Values): number | undefined =>
  typeof rated === "string" ? values(rated) : rated;

/** Lowest voltage of a net: the relay's coil kicks under its ground when Q2 opens; every other stays at 0 V or above. */
const leastOf = (net: string, values: Values): number =>
  /^pump\.(coil|clamp|middle)$/.test(net) ? values("dump.node") - values("relay.peak") : 0;

/** Greatest difference between two of a part's pins. */
function stress(pins: readonly CircuitPin[], values: Values, which: keyof Level): number {
  const own = pins.filter(({ net }) => net !== "");
  const levels = own.map(({ net }) => levelOf(net, values)[which]);
  const least = own.map(({ net }) => leastOf(net, values));
  return levels.length > 1 ? Math.max(...levels) - Math.min(0, ...least) : 0;
}

/** Not here: suppressors and Zener diodes conduct on purpose, and of a pair of Schottky diodes the rail holds every pin. */
const VOLTS_BY_NETS: readonly Part["kind"][] = [
  "capacitor",
  "diode",
  "schottky",
  "n-fet",
  "npn",
  "p-fet",
  "chip",
];

function volts({ parts }: Circuit, values: Values): string[] {
  return parts.flatMap((part) => {
    const rated = number(part.rating.volts, values);
    const needed = stress(part.pins, values, "peak");
    if (!VOLTS_BY_NETS.includes(part.kind)) return [];
    if (rated === undefined) return [`${part.ref} has no rated voltage`];
    return rated >= needed ? [] : [`${part.ref} is rated ${rated} V, its nets reach ${needed.toFixed(1)} V`];
  });
}

function watts({ parts }: Circuit, values: Values): string[] {
  return parts
    .filter(({ kind }) => kind === "resistor")
    .flatMap((part) => {
      const rated = number(part.rating.watts, values) ?? 0;
      const heat = stress(part.pins, values, "steady") ** 2 / values(part.value!);
      const most = part.value === "driver.gate-series" ? 0 : heat;
      return rated >= most
        ? []
        : [`${part.ref} is rated ${rated} W and may have to take ${heat.toFixed(2)} W`];
    });
}

function clamps({ parts }: Circuit, values: Values): string[] {
  const needed = values("clamp.power-40");
  return parts
    .filter(({ value }) => value === "clamp.voltage")
    .filter((part) => (number(part.rating.watts, values) ?? 0) < needed)
    .map(({ ref }) => `${ref} does not stand the heat of a clamp at 40 pulses a second, ${needed} W`);
}

function gateOfQ2({ parts }: Circuit, values: Values): string[] {
  const held = parts.some(
    ({ kind, pins }) => kind === "zener" && pins[0]!.net === "pump.gate" && pins[1]!.net === "pump.source",
  );
  return held && values("pump.gate-zener") * 1.05 < values("pump.gate-limit")
    ? []
    : ["nothing holds the gate of Q2 to its source"];
}

/** Amperes of the fuse of a wire; a limiter is a fuse as well. The car's own fuse is not known here. */
function fuseOf(circuit: Circuit, wire: Wire, values: Values): number | undefined {
  return wire.fuse === "-" ? undefined : number(partOf(circuit, wire.fuse).rating.amps, values);
}

function wires(circuit: Circuit, values: Values): string[] {
  return circuit.wires.flatMap((wire) => {
    const fuse = fuseOf(circuit, wire, values);
    const load = values(wire.carries);
    const most = wire.mm2 * values("wire.fuse");
    return [
      ...(fuse !== undefined && fuse > most
        ? [`${wire.ref} of ${wire.mm2} mm2 is too thin for ${wire.fuse}`]
        : []),
      ...(fuse !== undefined && load > fuse
        ? [`${wire.fuse} is too small for what ${wire.ref} carries`]
        : []),
      ...(load > most ? [`${wire.ref} is too thin for what it carries`] : []),
    ];
  });
}

/** Key of what each fuse carries for long, A. The car's own fuse is not among them. */
export const FUSE_LOADS: Readonly<Record<string, string>> = {
  F1: "supply.coils-and-valve",
  F2: "supply.controller",
  ...Object.fromEntries(["F3", "F4", "F5", "F6", "F7"].map((ref) => [ref, "supply.stage"])),
};

function fuses({ parts }: Circuit, values: Values): string[] {
  return Object.entries(FUSE_LOADS).flatMap(([ref, key]) => {
    const rated = number(parts.find((part) => part.ref === ref)?.rating.amps, values) ?? 0;
    const carries = rated * values("supply.fuse-share");
    return carries >= values(key)
      ? []
      : [`${ref} carries ${carries} A for long, its load is ${values(key)} A`];
  });
}

function contacts({ parts }: Circuit, values: Values): string[] {
  return parts
    .filter(({ kind, place }) => kind === "relay" && place === "box")
    .filter((part) => (number(part.rating.amps, values) ?? 0) < values("supply.coils-and-valve"))
    .map(({ ref }) => `the contact of ${ref} does not stand the coils' current`);
}

export const RATINGS: readonly CircuitRule[] = [
  { name: "voltages within ratings", check: volts },
  { name: "resistors stand their heat", check: watts },
  { name: "clamps stand their heat", check: clamps },
  { name: "the gate of Q2 is held", check: gateOfQ2 },
  { name: "fuses fit wires and loads", check: wires },
  { name: "fuses carry their load for long", check: fuses },
  { name: "contacts stand their current", check: contacts },
];
