// Does what the words of a verb say to a practice bench, and says what was done; words that make no sense change nothing.
import { Failure } from "#host/errors/failure.ts";
import { type Parsed, parseNumber, parseQuantity } from "#host/units/parse.ts";
import { absolutePa, gaugePa } from "#host/units/pressure.ts";
import type { DriverFault } from "../board/outside/drivers.ts";
import type { RelayFault } from "../board/outside/relay.ts";
import type { Controls } from "../loop/script.ts";
import type { PracticeBench } from "./practice-bench.ts";
import type { Held } from "./practice-car.ts";
import { BY_CAR, DRIVERS, VERBS, type Verb, verbOf } from "./verbs.ts";
import { takesVoltage, type Wire, wireWords } from "./wires.ts";

/** The serial cable of a bench. */
export interface Cable {
  readonly plugged: boolean;
  plug(): Promise<void>;
  pull(): Promise<void>;
}

/** A bench with its cable. */
export interface Practice {
  readonly bench: PracticeBench;
  readonly cable: Cable;
}

const RUN_S = 4;
const LONGEST_RUN_S = 30;

const CONTROLS: Readonly<Record<string, keyof Controls>> = { brake: "hold", "bottle-valve": "bottleValve" };

function refuse(what: string, expected: string): never {
  throw new Failure("usage", { what, expected, todo: "`headgate board --help` lists all verbs" });
}

function oneOf<T extends string>(verb: string, word: string, words: readonly T[]): T {
  const found = words.find((one) => one === word);
  return (
    found ??
    refuse(word === "" ? `${verb}: a word is missing` : `${verb}: there is no "${word}"`, words.join(", "))
  );
}

function read<T>(verb: Verb, parsed: Parsed<T>): T {
  return parsed.ok ? parsed.value : refuse(`${verb.name}: ${parsed.error.message}`, verb.takes);
}

function within(verb: Verb, value: number, least: number, most: number, limits: string): number {
  return value >= least && value <= most ? value : refuse(`${verb.name}: out of range`, limits);
}

function toggle({ bench }: Practice, { name }: Verb, [word = ""]: readonly string[]): string {
  const on = oneOf(name, word, ["on", "off"]) === "on";
  bench.car.controls = { ...bench.car.controls, [CONTROLS[name] ?? name]: on };
  return `${name} ${word}`;
}

function pedal({ bench }: Practice, verb: Verb, words: readonly string[]): string {
  const share = read(verb, parseQuantity(words.join(" "), "ratio")).value;
  bench.car.controls = { ...bench.car.controls, pedal: within(verb, share, 0, 1, "0% to 100%") };
  return `pedal ${Math.round(share * 100)} %`;
}

/** Reads a value by hand into the unit in which the car holds it. */
const VALUES: Readonly<Record<Held, (verb: Verb, text: string) => number>> = {
  engine: (verb, text) =>
    within(verb, read(verb, parseQuantity(text, "rotation")).value, 0, 20_000, "0 to 20000 rpm"),
  road: (verb, text) => within(verb, read(verb, parseQuantity(text, "speed")).value, 0, 140, "0 to 500 km/h"),
  manifold: (verb, text) =>
    within(verb, absolutePa(read(verb, parseQuantity(text, "pressure")), "absolute"), 0, 1e6, "0 to 10 bar"),
  bottle: (verb, text) =>
    within(verb, gaugePa(read(verb, parseQuantity(text, "pressure")), "gauge"), 0, 2e7, "0 to 200 bar"),
  fuel: (verb, text) =>
    within(verb, gaugePa(read(verb, parseQuantity(text, "pressure")), "gauge"), 0, 2e6, "0 to 20 bar"),
  mixture: (verb, text) => within(verb, read(verb, parseNumber(text)), 0.3, 3, "0.3 to 3"),
  coolant: (verb, text) =>
    within(verb, read(verb, parseQuantity(text, "voltage")).value, 0, 5, "0 to 5 V") * 1000,
  battery: (verb, text) => within(verb, read(verb, parseQuantity(text, "voltage")).value, 0, 20, "0 to 20 V"),
};

function value({ bench }: Practice, verb: Verb, words: readonly string[]): string {
  const name = verb.name as Held;
  const text = words.join(" ");
  if (text === BY_CAR) bench.car.held.delete(name);
  else bench.car.held.set(name, VALUES[name](verb, text));
  return text === BY_CAR ? `${name} as the car has it` : `${name} ${text}`;
}

function wire({ bench }: Practice, verb: Verb, [name = "", ...words]: readonly string[]): string {
  oneOf("wire", name, verb.things!);
  const text = words.join(" ");
  const parsed = parseQuantity(text, "voltage");
  const set: Wire =
    takesVoltage(name) && text !== "5V" && parsed.ok
      ? within(verb, parsed.value.value, 0, 5, "0 to 5 V") * 1000
      : (oneOf(`wire ${name}`, text, wireWords(name)) as Wire);
  if (set === "good") bench.car.wires.delete(name);
  else bench.car.wires.set(name, set);
  return `wire of ${name} ${text}`;
}

const FAULT_OF = (word: string): string => (word === "good" ? "none" : word);

function damage({ bench }: Practice, verb: Verb, words: readonly string[]): string {
  const { harness } = bench.board;
  if (verb.name === "relay") {
    const word = oneOf("relay", words[0] ?? "", verb.words!);
    harness.relay.setFault(FAULT_OF(word) as RelayFault);
    return `relay ${word}`;
  }
  const index = DRIVERS.indexOf(oneOf("driver", words[0] ?? "", DRIVERS));
  const word = oneOf(`driver ${words[0]}`, words[1] ?? "", verb.words!);
  harness.drivers.faults[index] = FAULT_OF(word) as DriverFault;
  return `driver ${words[0]} ${word}`;
}

function mend({ bench }: Practice): string {
  bench.car.wires.clear();
  bench.car.held.clear();
  bench.board.harness.relay.setFault("none");
  bench.board.harness.drivers.faults.fill("none");
  return "everything is whole, and every value is the car's own";
}

async function run(practice: Practice, verb: Verb, words: readonly string[]): Promise<string> {
  const text = words.join(" ");
  const seconds = text === "" ? RUN_S : read(verb, parseQuantity(text, "time")).value;
  await practice.bench.drive(within(verb, seconds, 0.5, LONGEST_RUN_S, "0.5 s to 30 s"));
  return `the launch is over, ${seconds} s after go, and the car is back at the line; headgate runs lists what was logged`;
}

async function moveCable({ cable }: Practice, [word = ""]: readonly string[]): Promise<string> {
  const out = oneOf("cable", word, ["out", "in"]) === "out";
  if (out === cable.plugged) await (out ? cable.pull() : cable.plug());
  return `the serial cable is ${out ? "out" : "in"}`;
}

const ACTS: Readonly<
  Record<string, (practice: Practice, verb: Verb, words: readonly string[]) => string | Promise<string>>
> = {
  power: ({ bench }, { name }, [word = ""]) => {
    bench.power(oneOf(name, word, ["on", "off"]) === "on");
    return `power ${word}`;
  },
  reset: ({ bench }) => {
    bench.reset();
    return bench.supplied ? "the board starts anew" : "the board has no power";
  },
  cable: (practice, _, words) => moveCable(practice, words),
  line: ({ bench }) => {
    bench.toLine();
    return "the car stands at the line, every hand off";
  },
  run,
  mend,
  show: () => "",
};

const KINDS: Readonly<
  Record<Verb["kind"], (practice: Practice, verb: Verb, words: readonly string[]) => string | Promise<string>>
> = {
  switch: toggle,
  pedal,
  value,
  fault: (practice, verb, words) => (verb.name === "wire" ? wire : damage)(practice, verb, words),
  act: (practice, verb, words) => ACTS[verb.name]!(practice, verb, words),
};

/** Does it; the words of what was done. Fails with `usage`. */
export async function act(practice: Practice, [name = "", ...words]: readonly string[]): Promise<string> {
  const verb = verbOf(name) ?? refuse(`there is no verb "${name}"`, VERBS.map((one) => one.name).join(", "));
  if (practice.bench.driving && (verb.kind === "switch" || verb.kind === "pedal"))
    refuse(
      "a launch is being driven: the driver has the pedal and the switches",
      "`headgate board line` ends it",
    );
  return KINDS[verb.kind](practice, verb, words);
}
