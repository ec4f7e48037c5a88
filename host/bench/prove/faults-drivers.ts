// Faults of the solenoid drivers, their loads and the relay: under flow where they can show, else at arming.
import { gpioOf } from "#shared-schema/model/pins.ts";
import { type DriverFault, SOLENOIDS } from "../board/outside/drivers.ts";
import type { SensorName } from "../board/outside/harness.ts";
import type { RelayFault } from "../board/outside/relay.ts";
import { pulsesOf } from "../pulses.ts";
import { RELAY_US } from "./allowed.ts";
import { whileArming } from "./arming-trial.ts";
import { whileFlowing } from "./flow-trial.ts";
import { NotShown, type Scenario } from "./scenario.ts";
import type { ProofSettings } from "./settings.ts";
import { SOLENOID_PINS, type TestBench } from "./test-bench.ts";

type Kind = Exclude<DriverFault, "none" | "skips" | "clamp-shorted" | "lamp">;

const WORDS: Readonly<Record<Kind, string>> = {
  shorted: "driver shorted: always conducts",
  open: "driver stuck: never conducts",
  late: "driver does not conduct in the first 11 ms of each pulse",
  unplugged: "load unplugged",
};
/** A driver that does not conduct shows while its pin is high, the others while it is low. */
const SHOWS_AT: Readonly<Record<Kind, 0 | 1>> = { shorted: 0, open: 1, late: 1, unplugged: 0 };
const LONGEST_US = 400_000;
const LOOK_PERIODS = 5;

const hasSensor = ({ throttle, manifold, bottle, fuel, lambda, coolant }: ProofSettings): boolean =>
  [throttle.position, manifold, bottle, fuel, lambda, coolant].some((sensor) => sensor !== undefined);

/** Do the settings have the solenoid of a channel? */
export const configured = (channel: number) => (settings: ProofSettings) => {
  const stage = settings.stages[channel >> 1];
  return stage !== undefined && (channel % 2 === 0 || stage.fuelSolenoid !== undefined);
};

/** Damages the driver of a channel, its clamp or its load. */
export function setDriver(channel: number, fault: DriverFault): (bench: TestBench) => void {
  return (bench) => {
    bench.board.harness.drivers.faults[channel] = fault;
  };
}

/** Runs to the moment from which the fault shows: the pin has just taken that level, or has it all the time. */
function untilShown(channel: number, kind: Kind): (bench: TestBench) => void {
  const gpio = gpioOf(SOLENOID_PINS[channel]!);
  return ({ board }) => {
    const shows = (): boolean => board.pins.level(gpio) === SHOWS_AT[kind];
    const pulsed = board.runUntil(() => !shows(), LONGEST_US, 50);
    if (kind === "late" && !pulsed) throw new NotShown();
    if (!board.runUntil(shows, LONGEST_US, 50)) throw new NotShown();
  };
}

/** The end of flow less the time in which the fault showed: what the row's time counts. */
function shownSince(channel: number, kind: Kind): (bench: TestBench, appliedNs: number) => number {
  const name = SOLENOID_PINS[channel]!;
  return (bench, appliedNs) => {
    const endNs = appliedNs + (bench.lowAfterUs(appliedNs) ?? 0) * 1000;
    const pulses = pulsesOf(bench.board.pins.edges(name), endNs, 0);
    const highNs = pulses.reduce((sum, { startNs, widthNs }) => {
      const from = Math.max(startNs, appliedNs);
      return sum + Math.max(0, Math.min(startNs + widthNs, endNs) - from);
    }, 0);
    return endNs - (SHOWS_AT[kind] === 1 ? highNs : endNs - appliedNs - highNs);
  };
}

/** Under flow, where the pin takes the level at which the fault shows. */
function underFlow(channel: number, kind: Kind): Scenario {
  return whileFlowing({
    row: "DRIVER",
    fault: `${SOLENOID_PINS[channel]} ${WORDS[kind]}`,
    until: untilShown(channel, kind),
    apply: setDriver(channel, kind),
    undo: setDriver(channel, "none"),
    causeNs: shownSince(channel, kind),
    lookUs: (bench) => (LOOK_PERIODS * 1e6) / bench.settings.flow.frequencyHz,
    fits: configured(channel),
    trials: 2,
  });
}

/** Shorted while a sensor fails, whose trip comes first: a lockout all the same, whatever the share. */
function withSensor(channel: number): Scenario {
  const sensorOf = (bench: TestBench): SensorName => bench.stimulus.fitted().at(-1)!;
  return whileFlowing({
    row: "DRIVER",
    fault: `${SOLENOID_PINS[channel]} ${WORDS.shorted}, and a sensor fails with it`,
    apply: (bench) => {
      setDriver(channel, "shorted")(bench);
      bench.board.harness.setSensorMv(sensorOf(bench), 0);
    },
    undo: setDriver(channel, "none"),
    fits: (settings) => configured(channel)(settings) && hasSensor(settings),
    trials: 2,
  });
}

function atArming(channel: number, kind: Kind): Scenario {
  return whileArming({
    row: "DRIVER",
    fault: `${SOLENOID_PINS[channel]} ${WORDS[kind]}, at arming`,
    apply: setDriver(channel, kind),
    undo: setDriver(channel, "none"),
    fits: configured(channel),
  });
}

const CHANNELS = Array.from({ length: SOLENOIDS }, (_, channel) => channel);
const relay = (fault: RelayFault) => (bench: TestBench) => bench.board.harness.relay.setFault(fault);

/** All of them. */
export const DRIVER_FAULTS: readonly Scenario[] = [
  ...CHANNELS.flatMap((channel) => [underFlow(channel, "open"), underFlow(channel, "late")]),
  ...CHANNELS.map(withSensor),
  ...CHANNELS.flatMap((channel) => [underFlow(channel, "shorted"), underFlow(channel, "unplugged")]),
  ...CHANNELS.flatMap((channel) => [
    atArming(channel, "shorted"),
    atArming(channel, "open"),
    atArming(channel, "unplugged"),
  ]),
  whileArming({
    row: "RELAY",
    fault: "relay contact welded",
    apply: relay("welded"),
    undo: relay("none"),
    relayStaysClosed: true,
  }),
  whileArming({
    row: "RELAY",
    fault: "charge pump holds while its pin is low",
    apply: relay("holds-low"),
    undo: relay("none"),
    relayStaysClosed: true,
  }),
  whileArming({
    row: "KEEP-ALIVE",
    fault: "charge pump holds while its pin stands high",
    apply: relay("holds-high"),
    undo: relay("none"),
  }),
  whileArming({
    row: "KEEP-ALIVE",
    fault: "relay dead: never closes",
    apply: relay("dead"),
    undo: relay("none"),
  }),
  whileArming({
    row: "KEEP-ALIVE",
    fault: "relay contact sticks when tried",
    apply: () => {},
    during: (bench) => {
      bench.board.runUntil(() => bench.board.harness.relay.closed, LONGEST_US, 500);
      relay("welded")(bench);
    },
    undo: relay("none"),
    relayStaysClosed: true,
  }),
  whileFlowing({
    row: "KEEP-ALIVE",
    fault: "supply behind the relay lost while armed",
    apply: relay("dead"),
    undo: relay("none"),
  }),
  whileFlowing({
    row: "KEEP-ALIVE",
    fault: "wire of the keep-alive broken while armed",
    apply: relay("no-edges"),
    // The time of the row begins when the relay has opened.
    plusUs: () => RELAY_US,
    undo: relay("none"),
  }),
];
