// Options that commands share, so that each means the same everywhere.
import { type Command, InvalidArgumentError } from "@commander-js/extra-typings";
import { BAUD_DEFAULT, BAUD_MAX } from "#shared-schema/link/messages.ts";

/** Reads a whole number within limits. */
export function wholeNumber(min: number, max: number): (text: string) => number {
  return (text) => {
    const value = Number(text);
    if (text.trim() !== "" && Number.isInteger(value) && value >= min && value <= max) return value;
    throw new InvalidArgumentError(`enter a whole number from ${min} to ${max}.`);
  };
}

/** `--json` and `--debug`. */
export function withCommon<
  A extends unknown[],
  O extends Record<string, unknown>,
  G extends Record<string, unknown>,
>(command: Command<A, O, G>) {
  return command
    .option("--json", "print one JSON document instead of text")
    .option("--debug", "show where in the program a failure came from");
}

/** `--transfer-baud`: by default as fast as the controller can; where the line does not carry it, the default speed is used. */
export function withTransferBaud<
  A extends unknown[],
  O extends Record<string, unknown>,
  G extends Record<string, unknown>,
>(command: Command<A, O, G>) {
  return command.option(
    "--transfer-baud <speed>",
    `serial speed for the transfer alone, where the line carries it (default: ${BAUD_MAX})`,
    wholeNumber(9600, BAUD_MAX),
  );
}

/** `--port` and `--baud`, besides the common ones. */
export function withPort<
  A extends unknown[],
  O extends Record<string, unknown>,
  G extends Record<string, unknown>,
>(command: Command<A, O, G>) {
  return withCommon(command)
    .option(
      "--port <name>",
      "serial port, remembered name, practice, pseudo-terminal, or tcp:HOST:PORT (default: HEADGATE_PORT, then a remembered name, then the only USB serial adapter)",
    )
    .option(
      "--wait <seconds>",
      "how many seconds to wait for a controller that is not connected yet",
      wholeNumber(0, 3600),
    )
    .option(
      "--baud <speed>",
      "serial speed that the controller listens at",
      wholeNumber(9600, BAUD_MAX),
      BAUD_DEFAULT,
    );
}
