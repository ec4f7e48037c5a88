// Clamps of the solenoid coils whose suppressor is shorted: under flow in pulses, where each switching off is looked at.
import { SOLENOIDS } from "../board/outside/drivers.ts";
import { pulsesOf } from "../pulses.ts";
import { configured, setDriver } from "./faults-drivers.ts";
import { whileFlowing } from "./flow-trial.ts";
import { atPartOfFlow } from "./part-of-flow.ts";
import { NotShown, type Scenario } from "./scenario.ts";
import { SOLENOID_PINS, type TestBench } from "./test-bench.ts";

/** So many switchings off in a row without a kick lock out; shorter pulses are not looked at. */
const PULSES = 4;
const SHORTEST_NS = 6e6;
/** In the longest patterns, while a share still rises, a pulse comes in every third period. */
const LOOK_PERIODS = 3 * PULSES + 3;

/** The end of the last pulse that was needed; the fault itself when it locked out before that. */
function lastNeeded(channel: number): (bench: TestBench, appliedNs: number) => number {
  return (bench, appliedNs) => {
    const pulses = pulsesOf(bench.board.pins.edges(SOLENOID_PINS[channel]!), bench.nowNs, 0);
    const ends = pulses.filter(({ widthNs }) => widthNs > SHORTEST_NS).map((p) => p.startNs + p.widthNs);
    const end = ends.filter((ns) => ns > appliedNs)[PULSES - 1];
    if (end === undefined && !bench.stopped) throw new NotShown();
    return end ?? appliedNs;
  };
}

function shorted(channel: number): Scenario {
  return whileFlowing({
    row: "CLAMP",
    fault: `${SOLENOID_PINS[channel]} coil's suppressor shorted, in pulses`,
    apply: setDriver(channel, "clamp-shorted"),
    undo: setDriver(channel, "none"),
    causeNs: lastNeeded(channel),
    lookUs: (bench) => (LOOK_PERIODS * 1e6) / bench.settings.flow.frequencyHz,
    fits: configured(channel),
    change: atPartOfFlow,
    trials: 2,
  });
}

/** All of them. */
export const CLAMP_FAULTS: readonly Scenario[] = Array.from({ length: SOLENOIDS }, (_, channel) =>
  shorted(channel),
);
