// `headgate doctor`: why a controller is not reached, or how good the line to it is; every hint only after its cause was seen.
import { EXIT, type ExitCode } from "#host/errors/exit.ts";
import { Failure } from "#host/errors/failure.ts";
import type { Hello } from "#host/link/device.ts";
import type { LineQuality } from "#host/link/quality.ts";
import type { AddCommand } from "../command.ts";
import { wholeNumber, withPort } from "../options.ts";
import type { Result, Session } from "../session.ts";
import type { PortOptions } from "./connect.ts";
import type { PortCheck } from "./port-access.ts";

interface Options extends PortOptions {
  readonly seconds: number;
}

/** What was found: who answers, how good the line is, or why that is not known. */
interface Found {
  readonly device?: Hello;
  readonly quality?: LineQuality;
  readonly failure?: Failure;
}

/** Asks who answers, then measures the line. Only a controller of this version can be asked for more than that. */
async function measure(session: Session, options: Options): Promise<Found> {
  const { withController } = await import("./connect.ts");
  const { requireFit } = await import("#host/link/device.ts");
  const { lineQuality } = await import("#host/link/quality.ts");
  let found: Hello | undefined;
  try {
    return await withController(session, options, async ({ client, device }) => {
      found = device;
      requireFit(device);
      return { device, quality: await lineQuality(client, 1000 * options.seconds, session.io.clock) };
    });
  } catch (thrown) {
    if (thrown instanceof Failure && thrown.code !== "interrupted")
      return { failure: thrown, ...(found ? { device: found } : {}) };
    throw thrown;
  }
}

async function deviceLines(device: Hello | undefined): Promise<string[]> {
  if (!device) return [];
  const { boardWords } = await import("#host/link/board-number.ts");
  const { imageVersion, imageGood, boardId } = device;
  return [
    `${boardWords(boardId)} answers: image ${imageVersion}, check sum ${imageGood ? "good" : "WRONG"}`,
    ...(imageGood
      ? []
      : ["the image on the controller is damaged, so it cannot arm: put it in again with headgate flash"]),
  ];
}

function failureLines({ device, failure }: Found): string[] {
  if (!failure) return [];
  return [
    `${device ? "" : "no controller: "}${failure.message}`,
    `do: ${failure.todo}`,
    `more: headgate explain ${failure.code}`,
  ];
}

function exitOf({ device, quality, failure }: Found): ExitCode {
  if (failure) return failure.exit;
  return quality && clean(quality) && device?.imageGood ? EXIT.yes : EXIT.no;
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

async function ruleLines(looks: readonly PortCheck[]): Promise<string[]> {
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
  const { checkPorts, portRows } = await import("./port-access.ts");
  const { PORT_ORDER } = await import("./connect.ts");
  const looks = await checkPorts(session);
  const found = await measure(session, options);
  const { device, quality, failure } = found;
  const exit = exitOf(found);
  const lines = [
    ...(await deviceLines(device)),
    ...failureLines(found),
    ...(quality ? qualityLines(quality) : []),
  ];
  const error = failure
    ? { error: { code: failure.code, what: failure.message, todo: failure.todo, exit } }
    : {};
  return {
    exit,
    data: {
      ports: looks.map(({ port, access }) => ({ ...port, access })),
      ...error,
      device: device ?? null,
      quality: quality ?? null,
    },
    lines: [
      ...portRows(looks, session.width),
      "",
      ...(await ruleLines(looks)),
      ...session.wrapped(`a port is chosen by ${PORT_ORDER}`, ...lines),
    ],
  };
}

export const addDoctor: AddCommand = (program, act) => {
  withPort(program.command("doctor"))
    .option("--seconds <number>", "how long to measure the line", wholeNumber(1, 600), 3)
    .description("find out why a controller is not reached, or how good the line is")
    .action(act(doctor));
};
