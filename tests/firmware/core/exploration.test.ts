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

/** How many kinds of disturbance may be under way in a state that is gone on from; every input adds its own. */
const BOUNDS = { atOnce: ALL ? 1 : 0, expand: Number.POSITIVE_INFINITY };
/** The longest time of a stage comes before that of the run, which has a test of its own (see interlocks-trip.ts). */
const NEVER = ["runFlowedUs at 600000"];
const FEW = { atOnce: 0, expand: Number.POSITIVE_INFINITY };

/** The self-test ends, and in the same tick a value past its limit trips. */
const TWO_IN_ONE_TICK = "arming-tripped";

describe("the states of the released core", () => {
  let explored: Explored;

  beforeAll(() => {
    explored = explore(freshCore(), BOUNDS);
    const { states, expanded, transitions, ticks } = explored;
    process.stdout.write(
      `exploration: ${states} states, ${transitions} transitions, ${ticks} ticks; all ${expanded} states with no more ` +
        `than ${BOUNDS.atOnce} kind of disturbance met ${ALPHABET.length} inputs\n${reachedText(explored)}\n`,
    );
  }, 900_000);

  test("each has off one tick away, keeps the invariant, and is left as its mode allows", () => {
    expect(explored.wrong).toEqual([]);
    expect(explored.closed).toBe(true);
  });

  test("are of every mode, and in CI at every end of every time and of every cause that latches", () => {
    expect(MODES.filter((_, number) => modesOf(explored, "mode", number).length > 0)).toEqual(MODES);
    if (ALL) expect(neverReached(explored)).toEqual(NEVER);
  });

  test("change by transitions of the table alone", () => {
    const pairs = [...TRANSITIONS.flatMap(pairsOf), TWO_IN_ONE_TICK];
    expect([...explored.moves].filter((move) => !pairs.includes(move))).toEqual([]);
    expect(explored.moves.size).toBeGreaterThan(10);
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
