// `headgate doctor`: why a controller is not reached, or how good the line to it is; every hint only after its cause was seen.
import { EXIT, type ExitCode } from "#host/errors/exit.ts";
import { Failure } from "#host/errors/failure.ts";
import type { LineQuality } from "#host/link/quality.ts";
import type { AddCommand } from "../command.ts";
import { wholeNumber, withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { PortOptions } from "./connect.ts";
import type { PortLook } from "./port-access.ts";

interface Options extends PortOptions {
  readonly seconds: number;
}

/** Measures the line, or says why it could not. */
async function measure(session: Session, options: Options): Promise<LineQuality | Failure> {
  const { withController } = await import("./connect.ts");
  const { lineQuality } = await import("#host/link/quality.ts");
  try {
    return await withController(session, options, ({ client }) =>
      lineQuality(client, 1000 * options.seconds, session.io.clock),
    );
  } catch (thrown) {
    if (thrown instanceof Failure && thrown.code !== "interrupted") return thrown;
    throw thrown;
  }
}

const clean = (q: LineQuality): boolean => q.repeats + q.damagedHere + q.damagedThere === 0;

function qualityLines(q: LineQuality): string[] {
  const ms = (value: number): string => `${value.toFixed(1)} ms`;
  return [
    `line: ${q.requests} requests in ${(q.ms / 1000).toFixed(1)} s, ${q.repeats} repeated, ${q.damagedHere} answers and ${q.damagedThere} requests damaged`,
    `round trip: least ${ms(q.leastMs)}, median ${ms(q.medianMs)}, most ${ms(q.mostMs)}`,
    clean(q)
      ? "the line is clean"
      : "the line is disturbed: check the ground wire, keep the cable away from ignition leads, use a shorter one",
  ];
}

async function ruleLines(looks: readonly PortLook[]): Promise<string[]> {
  const { udevRule } = await import("#host/link/access.ts");
  const shut = looks.filter(
    ({ access, port }) => access.code === "port-permission" && port.vendorId && port.productId,
  );
  if (shut.length === 0) return [];
  const rules = shut.map(({ port }) => udevRule(port.vendorId!, port.productId!));
  return [
    "This user may not open a port. A udev rule that gives access, for /etc/udev/rules.d/70-serial-adapter.rules:",
    ...new Set(rules),
    "then: sudo udevadm control --reload && sudo udevadm trigger, and plug the adapter in again",
    "",
  ];
}

async function doctor(session: Session, options: Options): Promise<Result> {
  const { lookAtPorts, portRows } = await import("./port-access.ts");
  const looks = await lookAtPorts(session);
  const outcome = await measure(session, options);
  const failed = outcome instanceof Failure;
  const exit: ExitCode = failed ? outcome.exit : clean(outcome) ? EXIT.yes : EXIT.no;
  const lines = failed
    ? [`no controller: ${outcome.message}`, `do: ${outcome.todo}`, `more: headgate explain ${outcome.code}`]
    : qualityLines(outcome);
  const error = failed
    ? { error: { code: outcome.code, what: outcome.message, todo: outcome.todo, exit } }
    : {};
  return {
    exit,
    data: {
      ports: looks.map(({ port, access }) => ({ ...port, access })),
      ...error,
      quality: failed ? null : outcome,
    },
    lines: [...portRows(looks, session.width), "", ...(await ruleLines(looks)), ...session.wrapped(...lines)],
  };
}

export const addDoctor: AddCommand = (program, act) => {
  withPort(program.command("doctor"))
    .option("--seconds <number>", "how long to measure the line", wholeNumber(1, 600), 3)
    .description("find out why a controller is not reached, or how good the line is")
    .action(act(doctor));
};
