// The modes of the controller and every way from one to another. The core moves by this table and by nothing else.

/** The modes, in the order of their numbers. */
export const MODES = ["off", "armed", "flowing", "tripped", "service", "arming", "locked"] as const;

export type Mode = (typeof MODES)[number];

/** What each means. */
export const MODE_MEANINGS: Readonly<Record<Mode, string>> = {
  off: "nothing flows and the master relay is open; settings can be loaded, and the run log is stored",
  armed:
    "the self-test has passed and the master relay is closed; flow begins as soon as no interlock holds it off",
  flowing: "at least one stage flows",
  tripped: "an interlock tripped: everything is off until the arm switch has been off again",
  service: "a host asked for it: nothing can arm until the host ends it or the chip is reset",
  arming: "the self-test runs: relay, both levels of the keep-alive, and each driver once",
  locked: "an interlock locked out: everything is off until power is removed",
};

/** Times and counts by which the core judges the arm switch. */
export const ARM_SWITCH = {
  /** It must be seen off for so long before it can arm, and before it releases a trip. */
  seenOffUs: 200_000,
  /** It must be seen on for so long before it arms. */
  seenOnUs: 5_000,
  /** An off that is over sooner was noise. */
  noiseUs: 5_000,
  /** More noise than this in one run disarms. */
  noiseLimit: 3,
} as const;

/** Nothing may have held flow off for this long before any begins: a filter that only ever delays opening. */
export const CLEAR_US = 20_000;

const MS = 1000;

/** One way from some modes to another. In any other mode its cause changes nothing. */
export interface Transition {
  /** Name of the constant in the core. */
  readonly name: string;
  readonly from: readonly Mode[];
  readonly to: Mode;
  readonly cause: string;
  /** What must be so besides. */
  readonly guard?: string;
}

/** All of them. */
export const TRANSITIONS: readonly Transition[] = [
  {
    name: "switched-on",
    from: ["off"],
    to: "arming",
    cause: `the arm switch has been on for ${ARM_SWITCH.seenOnUs / MS} ms`,
    guard: `it was off for ${ARM_SWITCH.seenOffUs / MS} ms before; the settings are valid; the program is the one that was built`,
  },
  {
    name: "tested",
    from: ["arming"],
    to: "armed",
    cause: "the self-test has ended",
    guard:
      "the relay followed each time; each driver conducted, unless a valve opens too quickly to try them",
  },
  {
    name: "opened",
    from: ["armed"],
    to: "flowing",
    cause: "a stage flows",
    guard: `no interlock has held flow off for ${CLEAR_US / MS} ms`,
  },
  { name: "shut", from: ["flowing"], to: "armed", cause: "no stage flows any more" },
  {
    name: "switched-off",
    from: ["arming", "armed", "flowing"],
    to: "off",
    cause: `the arm switch has been off for ${ARM_SWITCH.noiseUs / MS} ms, or for less than that more than ${ARM_SWITCH.noiseLimit} times in one run`,
  },
  {
    name: "tripped",
    from: ["armed", "flowing"],
    to: "tripped",
    cause: "an interlock trips",
  },
  {
    name: "released",
    from: ["tripped"],
    to: "off",
    cause: `the arm switch has been off for ${ARM_SWITCH.seenOffUs / MS} ms`,
  },
  {
    name: "locked-out",
    from: ["arming", "armed", "flowing", "tripped"],
    to: "locked",
    cause: "an interlock locks out",
  },
  {
    name: "still-locked",
    from: ["off"],
    to: "locked",
    cause: "the controller starts",
    guard: "it was locked before the reset, and has had power since",
  },
  { name: "serviced", from: ["off"], to: "service", cause: "the host asks for service" },
  { name: "service-ended", from: ["service"], to: "off", cause: "the host ends service" },
];

/** Its modes before and after, each pair as `armed-flowing`. */
export const pairsOf = ({ from, to }: Transition): string[] => from.map((mode) => `${mode}-${to}`);
