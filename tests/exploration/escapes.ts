// What must be possible from every state: off at once, off for good, and from there flow again.
import { MODES } from "#shared-schema/model/interlocks.ts";
import { ALPHABET, ARM_OFF, GOOD, type Letter, LIFTED } from "./alphabet.ts";
import type { Machine, Moment } from "./machine.ts";

const [OFF, TRIPPED, LOCKED, SERVICE] = (["off", "tripped", "locked", "service"] as const).map((m) =>
  MODES.indexOf(m),
);
/** An off that lasts 5 ms is no noise: the tick after it must show it. */
const NOISE_TICKS = 5;
/** Late ticks after which the arm switch has been off for 200 ms. */
const OFF_TICKS = 52;
const OFF_US = 4000;
/** The self-test, and as long as the throttle must be seen closed. */
const LIFT_TICKS = 150;
/** The settling, and one delay. */
const FLOW_TICKS = 600;
/** A copy, so that it is a new letter to every state. */
const CUT: Letter = { ...ALPHABET.find(({ cut }) => cut)! };

/** Asks a state of a machine; the answers are what is wrong. */
export function escapes(machine: Machine): (moment: Moment) => string[] {
  const flowed = new Map<string, string[]>();

  /** A cut that the board reports stops the pins in the same tick, and an open switch ends in off right after its noise. */
  function atOnce(moment: Moment): string[] {
    const wrong: string[] = [];
    machine.restore(moment);
    machine.tick(CUT, 1000);
    if (machine.fed) wrong.push("fed in the tick of a cut");
    machine.restore(moment);
    for (let i = 0; i < NOISE_TICKS; i++) {
      machine.tick(ARM_OFF, 1000);
      if (machine.fed) wrong.push(`fed in tick ${i + 1} with the arm switch open`);
    }
    if (![OFF, TRIPPED, LOCKED, SERVICE].includes(machine.mode))
      wrong.push(`${MODES[machine.mode]} with the arm switch open`);
    return wrong;
  }

  function stayOff(): void {
    for (let i = 0; i < OFF_TICKS; i++) machine.tick(ARM_OFF, OFF_US);
  }

  /** After 200 ms off the mode is off; only power brings a locked one there, and only a request one in service. */
  function off(moment: Moment): string[] {
    machine.restore(moment);
    const { mode } = machine;
    stayOff();
    if (mode === LOCKED) {
      const wrong = machine.mode === LOCKED ? [] : ["a lockout ended without a loss of power"];
      machine.restart();
      return machine.mode === OFF ? wrong : [...wrong, "not off after a restart"];
    }
    if (mode === SERVICE) {
      machine.ask("service", { on: 0 });
      stayOff();
    }
    return machine.mode === OFF ? [] : [`${MODES[machine.mode]} after the arm switch was off for long`];
  }

  /** From off, a good car flows once its driver has lifted. */
  function flows(): string[] {
    const key = machine.key;
    const known = flowed.get(key);
    if (known) return known;
    for (let i = 0; i < LIFT_TICKS; i++) machine.tick(LIFTED, 1000);
    let i = 0;
    while (i++ < FLOW_TICKS && !machine.fed) machine.tick(GOOD, 1000);
    const wrong = machine.fed ? [] : [`no flow again, but ${MODES[machine.mode]}`];
    flowed.set(key, wrong);
    return wrong;
  }

  return (moment) => {
    machine.restore(moment);
    const before = machine.mode;
    const wrong = [...machine.misnamed, ...atOnce(moment), ...off(moment)];
    if (machine.mode === OFF && before !== LOCKED) wrong.push(...flows());
    machine.restore(moment);
    return wrong;
  };
}
