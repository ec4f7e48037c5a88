// Lanes under the plots' common axis: the modes, what held off, switches and outputs, each a row of bars with its name.
import { bitsOf, lockName, modeName, outputName, switchName } from "#host/logbook/record.ts";
import type { LogSample } from "#host/logbook/sample.ts";
import { modeSpans, reasonSpans, type Span, spansOf } from "#host/logbook/spans.ts";
import type { Lane } from "../chart/chart.ts";
import type { Reviewed } from "./reviewed.ts";

/** A bar in seconds of the log; `words` stand in it where there is room. */
interface LogBar extends Span {
  readonly words: string;
  /** Mode of a bar in the lane of modes. */
  readonly mode?: string;
}

/** A row whose bars are not on a page's axis yet. */
interface LogLane extends Omit<Lane, "bars"> {
  readonly bars: readonly LogBar[];
}

function modeLane(samples: readonly LogSample[]): LogLane {
  const bars = modeSpans(samples).map(({ fromS, toS, number }) => ({
    fromS,
    toS,
    words: modeName(number),
    mode: modeName(number),
  }));
  return { title: "mode", kind: "mode", bars };
}

function reasonLanes(samples: readonly LogSample[]): LogLane[] {
  const lanes = new Map<number, LogBar[]>();
  for (const { fromS, toS, number } of reasonSpans(samples)) {
    const bars = lanes.get(number) ?? [];
    bars.push({ fromS, toS, words: lockName(number) });
    lanes.set(number, bars);
  }
  return [...lanes].map(([number, bars]) => ({ title: lockName(number), kind: "reason", bars }));
}

const plainWords = (name: string): string => name.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`);

/** Lanes of the bits that are ever set. The keep-alive's level and the lamp blink all the time and say nothing here. */
function bitLanes(
  samples: readonly LogSample[],
  column: "switches" | "outputs",
  nameOf: (bit: number) => string,
): LogLane[] {
  const all = samples.reduce((bits, sample) => bits | (sample[column] ?? 0), 0);
  const kind = column === "switches" ? "switch" : "output";
  return bitsOf(all)
    .filter((bit) => !["keepAliveHigh", "lamp"].includes(nameOf(bit)))
    .map((bit) => {
      const words = plainWords(nameOf(bit));
      const spans = spansOf(samples, (sample) => (((sample[column] ?? 0) >>> bit) & 1) === 1);
      return { title: `${words}, ${kind}`, kind: "bit", bars: spans.map((span) => ({ ...span, words })) };
    });
}

/** All lanes of a run. */
export function lanesOf({ samples }: Reviewed): LogLane[] {
  return [
    modeLane(samples),
    ...reasonLanes(samples),
    ...bitLanes(samples, "switches", switchName),
    ...bitLanes(samples, "outputs", outputName),
  ];
}
