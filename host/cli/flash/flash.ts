// `headgate flash`: a new image into the controller, proved by the controller's own answer.

import type { AddCommand } from "../command.ts";
import { withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { FlashOptions } from "./options.ts";

async function flash(session: Session, options: FlashOptions): Promise<Result> {
  const { NOT_FLASHED, flashImage } = await import("./flash-image.ts");
  session.verdict = NOT_FLASHED;
  return flashImage(session, options);
}

export const addFlash: AddCommand = (program, act) => {
  withPort(program.command("flash"))
    .option("--image <file>", "image to use instead of the released one")
    .option(
      "--volume <folder>",
      "folder where the board in its boot mode is or will be mounted (default: search for it)",
    )
    .option("--yes", "flash without asking")
    .option(
      "--weaken",
      "load its settings again without the typed word although a protection goes away or widens",
    )
    .option("--dry-run", "say what would be done, and do nothing")
    .description("put the released image into a controller")
    .action(act(flash));
};
