// What happened in a run, as words: armed, each stage opened or shut, held off by what, tripped, off; the same for a recorded and a replayed run.
import { INTERLOCKS, interlocksIn } from "#shared-schema/model/interlocks.ts";
import { MODES, type Mode } from "#shared-schema/model/modes.ts";
import type { Said } from "./said.ts";

/** Something that happened in a tick. */
export interface RunEvent {
  readonly tick: number;
  readonly words: string;
  /** Interlocks that were the cause; a hold-off may have others in its next tick, so the words are without them. */
  readonly causes: readonly string[];
}

const modeOf = ({ mode }: Said): Mode | undefined => MODES[mode];
const tripName = ({ trip }: Said): string => INTERLOCKS[trip]?.id ?? `number ${trip}`;

/** The words of a change of mode; undefined for one that the events of the stages tell. */
function modeWords(before: Mode | undefined, said: Said): string | undefined {
  const mode = modeOf(said);
  if (mode === "flowing") return undefined;
  if (mode === "armed") return before === "flowing" ? "held off" : "armed";
  if (mode === "tripped") return `tripped by ${tripName(said)}`;
  if (mode === "locked") return `locked out by ${tripName(said)}`;
  return mode ?? `mode ${said.mode}`;
}

function modeEvents(before: Said, said: Said): RunEvent[] {
  if (before.mode === said.mode) return [];
  const words = modeWords(modeOf(before), said);
  if (words === undefined) return [];
  const causes = words === "held off" ? interlocksIn(said.reasons).map(({ id }) => id) : [];
  return [{ tick: said.tick, words, causes }];
}

/** While the controller says that it flows, single stages open and shut. */
function stageEvents(before: Said, said: Said): RunEvent[] {
  if (modeOf(said) !== "flowing") return [];
  const flowed = (s: number): boolean => modeOf(before) === "flowing" && before.shares[s]! > 0;
  return said.shares.flatMap((share, s): RunEvent[] => {
    if (share > 0 === flowed(s)) return [];
    return [{ tick: said.tick, words: `stage ${s + 1} ${share > 0 ? "opened" : "shut"}`, causes: [] }];
  });
}

/** All events of a run, in order of time. */
export function eventsOf(said: readonly Said[]): RunEvent[] {
  return said.flatMap((now, i) => {
    const before = said[i - 1];
    return before ? [...modeEvents(before, now), ...stageEvents(before, now)] : [];
  });
}

/** What happened in both, or in one of them alone. */
export interface EventPair {
  readonly recorded?: RunEvent;
  readonly replayed?: RunEvent;
}

/** Lengths of the longest row of the same words from each place on. */
function rowLengths(a: readonly RunEvent[], b: readonly RunEvent[]): number[][] {
  const lengths = Array.from({ length: a.length + 1 }, () => new Array<number>(b.length + 1).fill(0));
  for (let i = a.length - 1; i >= 0; i--)
    for (let j = b.length - 1; j >= 0; j--)
      lengths[i]![j] =
        a[i]!.words === b[j]!.words
          ? lengths[i + 1]![j + 1]! + 1
          : Math.max(lengths[i + 1]![j]!, lengths[i]![j + 1]!);
  return lengths;
}

/** Lays the events of two runs side by side: as many of the same words as can stand in one row each, the others alone. */
export function pairEvents(recorded: readonly RunEvent[], replayed: readonly RunEvent[]): EventPair[] {
  const lengths = rowLengths(recorded, replayed);
  const pairs: EventPair[] = [];
  let [i, j] = [0, 0];
  while (i < recorded.length || j < replayed.length) {
    const [a, b] = [recorded[i], replayed[j]];
    if (a && b && a.words === b.words) {
      pairs.push({ recorded: a, replayed: b });
      i++;
      j++;
    } else if (b === undefined || (a && lengths[i + 1]![j]! >= lengths[i]![j + 1]!)) {
      pairs.push({ recorded: a! });
      i++;
    } else {
      pairs.push({ replayed: b });
      j++;
    }
  }
  return pairs;
}
