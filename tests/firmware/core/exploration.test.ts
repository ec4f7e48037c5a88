// Every discrete state that the core can be brought to, breadth-first on the released core: off is always a tick away, and flow never out of reach.
import { beforeAll, describe, expect, test } from "vitest";
import { CoreRig } from "#host/bench/core/rig.ts";
import { interlockNumber, MODES } from "#shared-schema/model/interlocks.ts";
import { pairsOf, TRANSITIONS } from "#shared-schema/model/modes.ts";
import { ALPHABET } from "../../exploration/alphabet.ts";
import { stateWord } from "../../exploration/core-map.ts";
import { type Explored, explore } from "../../exploration/explorer.ts";
import { modesOf, neverReached, reachedText } from "../../exploration/reached.ts";
import { freshCore } from "../../support/core.ts";
import { ALL } from "../../support/effort.ts";
import { switchableCore, switchOff } from "../../support/switchable-core.ts";

/** HEADGATE_EXPLORATION=whole goes on until no state is new, with one kind of disturbance under way: it takes a long while. */
const WHOLE = process.env.HEADGATE_EXPLORATION === "whole";
/**
 * How many kinds of disturbance may be under way in a state that is gone on from (every input adds its own), and how many
 * states are. In CI all without one, and the first with one; on any day the first without.
 */
const BOUNDS = ALL
  ? [
      { atOnce: 0, expand: Number.POSITIVE_INFINITY },
      { atOnce: 1, expand: WHOLE ? Number.POSITIVE_INFINITY : 1000 },
    ]
  : [{ atOnce: 0, expand: 150 }];
/** The longest time of a stage comes before that of the run (see interlocks-trip.ts); the settings here watch no clamps (see clamps.test.ts). */
const NEVER = ["runFlowedUs at 600000", "trip CLAMP"];
/** What needs a disturbance that goes on; the whole exploration, trip-times.test.ts, hunting.test.ts and purge.test.ts come to it. */
const LATE = WHOLE
  ? []
  : [
      "heaterUs at 10000000",
      "fuelLowTurns at 6",
      "supplyApartUs at 496000",
      "battery stopsUs at 20000000",
      "fuel stopsUs at 20000000",
      "purgeUs at 200000",
      "engine ageUs at 60000",
      "engine ageUs at 1000000",
      "purgeSpentUs at 300000",
      "purgeSpentUs at 492000",
      "trip FUEL-LOW",
      "trip VALVE",
    ];
const FEW = { atOnce: 0, expand: Number.POSITIVE_INFINITY };

/** The self-test ends, and in the same tick a value past its limit trips. */
const TWO_IN_ONE_TICK = "arming-tripped";

describe("the states of the released core", () => {
  let all: readonly Explored[];

  beforeAll(() => {
    all = BOUNDS.map((bounds) => {
      const explored = explore(freshCore(), bounds);
      const { states, expanded, closed, transitions, ticks } = explored;
      process.stdout.write(
        `exploration: ${states} states, ${transitions} transitions, ${ticks} ticks; ${closed ? "all" : "the first"} ` +
          `${expanded} states with no more than ${bounds.atOnce} kind of disturbance met ${ALPHABET.length} inputs\n` +
          `${reachedText(explored)}\n`,
      );
      return explored;
    });
  }, 900_000);

  test("each has off one tick away, keeps the invariant, and is left as its mode allows", () => {
    expect(all.flatMap(({ wrong }) => wrong)).toEqual([]);
    expect(all.map(({ closed }) => closed)).toEqual(BOUNDS.map(({ expand }) => !Number.isFinite(expand)));
  });

  test("are of every mode, and in CI at every end of every time and of every cause that latches", () => {
    const reached = (number: number): boolean =>
      all.some((explored) => modesOf(explored, "mode", number).length > 0);
    expect(MODES.filter((_, number) => reached(number))).toEqual(MODES);
    const missed = all.map(neverReached);
    if (ALL)
      expect(
        missed[0]!.filter(
          (end) => missed.every((ends) => ends.includes(end)) && ![...NEVER, ...LATE].includes(end),
        ),
      ).toEqual([]);
  });

  test("change by transitions of the table alone", () => {
    const pairs = [...TRANSITIONS.flatMap(pairsOf), TWO_IN_ONE_TICK];
    const moves = all.flatMap((explored) => [...explored.moves]);
    expect(moves.filter((move) => !pairs.includes(move))).toEqual([]);
    expect(new Set(moves).size).toBeGreaterThan(10);
  });
});

describe("the exploration can fail", () => {
  let broken: WebAssembly.Module;

  beforeAll(async () => {
    broken = await switchableCore();
  });

  test.each(["ARM", "WOT", "SENSOR"])("on a core without %s", (id) => {
    const rig = new CoreRig(broken);
    switchOff(rig, interlockNumber(id));
    expect(explore(rig, FEW).wrong).not.toEqual([]);
  });

  /** A core that goes from one mode to another in every tick. */
  function moved(from: number, to: number): CoreRig {
    const rig = freshCore();
    const { core } = rig;
    const words = new Uint32Array(core.memory.buffer);
    const tick = (nowUs: number): void => {
      const before = words[stateWord("mode")];
      core.tick(nowUs);
      if (before === from) words[stateWord("mode")] = to;
    };
    Object.assign(rig, { core: { ...core, tick } });
    return rig;
  }

  test.each([
    ["does not leave a trip", "tripped", "tripped"],
    ["does not leave armed", "armed", "armed"],
    ["leaves a lockout", "locked", "off"],
  ] as const)("on a core that %s", (_, from, to) => {
    const rig = moved(MODES.indexOf(from), MODES.indexOf(to));
    expect(explore(rig, FEW).wrong).not.toEqual([]);
  });
});
