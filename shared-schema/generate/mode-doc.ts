// Writes docs/modes.md: what each mode means, and every transition from one to another with its cause and its guard.
import { MODE_MEANINGS, MODES, TRANSITIONS, type Transition } from "../model/modes.ts";
import { code, GENERATED_NOTE, table } from "./markdown.ts";

function transitionRow({ from, to, cause, guard }: Transition): string[] {
  return [from.map(code).join(", "), code(to), cause, guard ?? ""];
}

/** The whole page. */
export function modeDoc(): string {
  return [
    `# Modes\n\n${GENERATED_NOTE}\n\n`,
    "The controller is always in one of these modes. The number of a mode is its value in answers and in the run log.\n\n",
    table(
      ["no.", "mode", "meaning"],
      MODES.map((mode, number) => [String(number), code(mode), MODE_MEANINGS[mode]]),
    ),
    "\n![The modes and the transitions between them](pictures/modes.svg)\n\n## Transitions\n\n",
    "The control core holds this table as data and changes the mode by nothing else (`firmware/core/transitions.ts`). In a mode ",
    "that a row does not lead from, its cause changes nothing. A trap or a missed deadline resets the chip: it starts in `off`, ",
    "or in `locked` when it was locked before. So does a loss of power, which ends a lockout as well.\n\n",
    table(["from", "to", "cause", "guard"], TRANSITIONS.map(transitionRow)),
    "\nWhat trips and what locks out stands in [interlocks.md](interlocks.md). The self-test closes the master relay three ",
    "times and opens it twice before the drivers are tried: see decisions [0029](decisions/0029-arming-is-a-mode.md) and ",
    "[0044](decisions/0044-each-driver-conducts-once-at-arming.md).\n",
  ].join("");
}
