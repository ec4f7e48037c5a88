// An exact stream with other settings: pulses, sensors and switches as they were in every tick; drains, supply and pins as they follow from what the core now does.
import { BoardLayer, type Switch } from "#host/bench/core/board-layer.ts";
import type { CoreRig } from "#host/bench/core/rig.ts";
import { SOUND_RELAY, Wiring } from "#host/bench/core/wiring.ts";
import { SUPPLY_MV_PER_CODE, SWITCH_BITS, TICK_US } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/modes.ts";
import { ADC_A, STAGES } from "#shared-schema/model/pins.ts";
import { MOST_TO_ARM, OFF_TICKS, type Turn } from "../before-arming.ts";
import type { Recorded } from "../recorded.ts";
import type { Said } from "../said.ts";
import type { Tick, Train } from "./tick.ts";

const SWITCHES = Object.entries(SWITCH_BITS) as [Switch, number][];
const ARM = 1 << SWITCH_BITS.arm;
const ARMING = MODES.indexOf("arming");
const BATTERY = ADC_A.indexOf("battery");
const SUPPLY = ADC_A.indexOf("driverSupply");

/** A shaft that turned before the stream as it did in its first tick, as seen at `nowUs`. */
function trainBefore({ pulses, edgeUs, periodUs }: Train, nowUs: number): Train {
  if (periodUs === 0 || nowUs >= edgeUs) return { pulses, edgeUs, periodUs };
  const earlier = Math.ceil((edgeUs - nowUs) / periodUs);
  return { pulses: pulses - earlier, edgeUs: edgeUs - earlier * periodUs, periodUs };
}

/** A board layer that gets what was read in a tick. */
class Fed {
  readonly layer: BoardLayer;

  constructor(rig: CoreRig, nowUs: number) {
    this.layer = new BoardLayer(rig, nowUs, new Wiring(SOUND_RELAY));
  }

  /** One tick at `nowUs`, with the inputs of `tick` and these switches. */
  run(tick: Tick, nowUs: number, switches: number): void {
    const { layer } = this;
    for (const [name, bit] of SWITCHES) layer.set(name, ((switches >> bit) & 1) === 1);
    tick.adcA.forEach((code, channel) => {
      if (channel !== SUPPLY) layer.stuckCodes.set(channel, code);
    });
    layer.batteryMv = tick.adcA[BATTERY]! * SUPPLY_MV_PER_CODE;
    layer.raw.adcMissing = tick.adcMissing;
    copyTrain(trainBefore(tick.engine, nowUs), layer.raw.engine);
    copyTrain(trainBefore(tick.road, nowUs), layer.raw.road);
    layer.tick(nowUs - layer.raw.nowUs);
  }

  /** The arm switch moved and was back within one tick. */
  noise(): void {
    this.layer.set("arm", false);
    this.layer.set("arm", true);
  }

  said(tick: number): Said {
    const { mode, trip, reasons } = this.layer;
    const shares = Array.from({ length: STAGES }, (_, s) => this.layer.sharePermille(s));
    return { tick, mode, trip, reasons: reasons >>> 0, shares };
  }
}

function copyTrain(
  { pulses, edgeUs, periodUs }: Train,
  to: { count: number; edgeUs: number; periodUs: number },
): void {
  to.count = pulses;
  to.edgeUs = edgeUs;
  to.periodUs = periodUs;
}

/** A controller that was off before the stream, with the same at its connectors, and arms as its first tick but one says. */
function armed(rig: CoreRig, first: Tick, turn: Turn): Fed {
  let nowUs = first.nowUs - (OFF_TICKS + turn + 7) * TICK_US;
  const fed = new Fed(rig, nowUs);
  const step = (switches: number): void => {
    nowUs += TICK_US;
    fed.run(first, nowUs, switches);
  };
  for (let i = 0; i < OFF_TICKS + turn; i++) step(first.switches & ~ARM);
  for (let i = 0; i < MOST_TO_ARM && fed.layer.mode !== ARMING; i++) step(first.switches | ARM);
  if (fed.layer.mode !== ARMING) throw new Error("the core does not begin to arm");
  return fed;
}

/** What the controller says in the tick of each record that the stream covers. `rig`: started, with settings in its flash. */
export function replayOther(
  rig: CoreRig,
  ticks: readonly Tick[],
  records: readonly Recorded[],
  turn: Turn,
): Said[] {
  const fed = armed(rig, ticks[0]!, turn);
  const said = [fed.said(1)];
  let before = ticks[0]!;
  ticks.forEach((tick, n) => {
    if (tick.armCuts !== before.armCuts && tick.switches & before.switches & ARM) fed.noise();
    fed.layer.adcFrozen = n > 0 && tick.adcRounds === before.adcRounds;
    fed.run(tick, fed.layer.raw.nowUs + ((tick.nowUs - before.nowUs) >>> 0 || TICK_US), tick.switches);
    before = tick;
    while (said.length < records.length && records[said.length]!.tick <= n + 2) said.push(fed.said(n + 2));
  });
  return said;
}
