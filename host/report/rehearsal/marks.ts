// Marks and lanes of a rehearsal: what the driver did, gear changes, openings, trips; the controller's modes and what held flow off.
import type { Findings } from "#host/bench/findings.ts";
import type { Run } from "#host/bench/loop/rehearse.ts";
import type { Said } from "#host/bench/loop/watches.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import type { Bar, Lane, LaneGroup, Mark } from "../chart/chart.ts";

/** Openings of several stages within this time are one mark, s. */
const AT_ONCE_S = 0.02;

const gearMarks = ({ samples }: Run): Mark[] =>
  samples
    .filter(({ gear }, i) => i > 0 && gear !== samples[i - 1]!.gear)
    .map(({ s, gear }) => ({ place: s, words: `gear ${gear}` }));

const tripMarks = ({ said }: Run): Mark[] =>
  said
    .filter(({ trip }, i) => trip !== undefined && trip !== said[i - 1]?.trip)
    .map(({ s, trip }) => ({ place: s, words: `TRIP ${trip}` }));

function openingMarks({ stages }: Findings): Mark[] {
  const all = stages.flatMap((flows, i) => flows.map(({ fromS }) => ({ stage: i + 1, fromS })));
  const groups: { fromS: number; stages: number[] }[] = [];
  for (const { stage, fromS } of all.sort((a, b) => a.fromS - b.fromS)) {
    const last = groups.at(-1);
    if (last && fromS - last.fromS <= AT_ONCE_S) last.stages.push(stage);
    else groups.push({ fromS, stages: [stage] });
  }
  return groups.map(({ fromS, stages: opened }) => ({
    place: fromS,
    words: `${opened.length > 1 ? "stages" : "stage"} ${opened.join(", ")} ${opened.length > 1 ? "open" : "opens"}`,
  }));
}

/** All marks, in order of time. */
export function runMarks(run: Run, found: Findings): Mark[] {
  const moved = run.script.map(({ atS, words }) => ({ place: atS, words }));
  const all = [...moved, ...gearMarks(run), ...openingMarks(found), ...tripMarks(run)];
  return all.filter(({ place }) => place <= run.endS).sort((a, b) => a.place - b.place);
}

/** Stretches in which the controller said the same, by what `of` reads out of it; undefined for nothing to show. */
function bars({ said, endS }: Run, of: (said: Said) => string | undefined): Bar[] {
  const begun = said.filter((each, i) => i === 0 || of(each) !== of(said[i - 1]!));
  return begun.flatMap((each, i) => {
    const words = of(each);
    return words === undefined ? [] : [{ from: each.s, to: begun[i + 1]?.s ?? endS, words }];
  });
}

function reasonLane(run: Run, id: string, bit: number): Lane[] {
  const found = bars(run, ({ reasons }) => ((reasons >>> bit) & 1 ? id : undefined));
  return found.length === 0 ? [] : [{ title: id, kind: "reason", bars: found }];
}

/** The controller's modes, and what held flow off. */
export function runLanes(run: Run): LaneGroup {
  const modes = bars(run, ({ mode }) => mode).map((bar) => ({ ...bar, mode: bar.words }));
  const reasons = INTERLOCKS.slice(0, 32).flatMap(({ id }, bit) => reasonLane(run, id, bit));
  return {
    title: "Mode, and what held flow off",
    lanes: [{ title: "mode", kind: "mode", bars: modes }, ...reasons],
  };
}

/** Stretches in which any stage flowed. */
export const flowed = (run: Run): Bar[] => bars(run, ({ flowing }) => (flowing === 0 ? undefined : "flow"));
