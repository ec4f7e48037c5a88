// The hands of a practice board as data: every verb with what it takes and what it does, for command line, page, docs and completion.

/** What follows a verb. `words` are the only ones that it takes; `dimension` is that of a value in any of its units. */
export interface Verb {
  readonly name: string;
  /** As it stands in a help text. */
  readonly takes: string;
  readonly meaning: string;
  readonly kind: "switch" | "pedal" | "value" | "fault" | "act";
  readonly words?: readonly string[];
  /** Things that the verb is about, named before its word. */
  readonly things?: readonly string[];
}

const ON_OFF = ["on", "off"] as const;

/** Word that gives a value back to the car. */
export const BY_CAR = "car";

const toggle = (name: string, meaning: string): Verb => ({
  name,
  takes: "on|off",
  meaning,
  kind: "switch",
  words: ON_OFF,
});
const value = (name: string, takes: string, meaning: string): Verb => ({
  name,
  takes: `${takes}|${BY_CAR}`,
  meaning,
  kind: "value",
});
const fault = (
  name: string,
  meaning: string,
  words: readonly string[],
  things?: readonly string[],
): Verb => ({
  name,
  takes: `${things ? "<name> " : ""}${words.join("|")}`,
  meaning,
  kind: "fault",
  words,
  ...(things ? { things } : {}),
});
const act = (name: string, meaning: string, words?: readonly string[], takes?: string): Verb => ({
  name,
  takes: takes ?? words?.join("|") ?? "",
  meaning,
  kind: "act",
  ...(words ? { words } : {}),
});

/** Sensors, switches and pulse senders whose wire can be damaged. */
export const WIRES = {
  sensor: ["throttle-sensor", "manifold", "bottle", "fuel", "mixture", "coolant"],
  switch: ["arm", "throttle-switch", "launch", "enrich", "bottle-valve"],
  sender: ["engine", "road"],
} as const;

/** Drivers in pin order. */
export const DRIVERS: readonly string[] = [1, 2, 3, 4].flatMap((s) => [`nitrous${s}`, `fuel${s}`]);

/** All verbs, in the order in which they are shown. */
export const VERBS: readonly Verb[] = [
  toggle("arm", "the arm switch"),
  { name: "pedal", takes: "SHARE", meaning: "how far the pedal is down, such as 100%", kind: "pedal" },
  toggle("launch", "the launch switch"),
  toggle("brake", "hold the car at the line"),
  toggle("bottle-valve", "the switch of the bottle valve"),
  toggle("purge", "the purge button"),
  toggle("heater", "the heater switch"),
  toggle("enrich", "the engine computer confirms that it enriches"),
  value("engine", "SPEED", "engine speed by hand, such as 5000rpm"),
  value("road", "SPEED", "road speed by hand, such as 60mph"),
  value("manifold", "PRESSURE", "manifold pressure by hand, such as 95kPa absolute"),
  value("bottle", "PRESSURE", "bottle pressure by hand, such as 700psi"),
  value("fuel", "PRESSURE", "fuel pressure by hand, such as 1.5bar"),
  value("mixture", "LAMBDA", "mixture by hand, such as 1.1"),
  value("coolant", "VOLTAGE", "voltage of the coolant sensor by hand, such as 4.6V"),
  value("battery", "VOLTAGE", "battery voltage by hand, such as 10V"),
  fault(
    "wire",
    "damage the wire of a sensor, a switch or a pulse sender; a sensor's takes a voltage too",
    ["good", "open", "ground", "5V", "closed"],
    Object.values(WIRES).flat(),
  ),
  fault(
    "driver",
    "damage a solenoid driver, its clamp or its load",
    ["good", "shorted", "open", "late", "skips", "unplugged", "clamp-shorted", "lamp"],
    DRIVERS,
  ),
  fault("relay", "damage the master relay", ["good", "welded", "dead"]),
  act("power", "the board's supply; off and on again is how a lockout ends", ["on", "off"]),
  act("reset", "press the board's reset button"),
  act("cable", "pull the serial cable, or plug it in again", ["out", "in"]),
  act("line", "put the car back at the start line: engine idling, bottle full, every hand off"),
  act("run", "drive one launch with everything a driver does, until so long after go", undefined, "[TIME]"),
  act("mend", "mend every wire and driver and the relay, and give every value back to the car"),
  act("show", "what the hands do, what is damaged, and what the lamps at the outputs say"),
];

export const verbOf = (name: string): Verb | undefined => VERBS.find((verb) => verb.name === name);
