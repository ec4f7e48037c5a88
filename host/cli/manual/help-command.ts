// `headgate help [TOPIC]`: the help of a command, or a page of the docs as text for this screen; all of it is in the package.
import type { Command } from "@commander-js/extra-typings";
import { Failure } from "#host/errors/failure.ts";
import type { AddCommand } from "../command.ts";
import { withCommon } from "../options.ts";
import type { Result, Session } from "../session.ts";

/** Pages of the docs by topic: the file, and what is in it. */
export const TOPICS: Readonly<Record<string, readonly [string, string]>> = {
  builder: ["builder.md", "from parts to a controller on the bench"],
  tuner: ["tuner.md", "a new ramp between two rounds"],
  tester: ["tester.md", "does everything shut off?"],
  practice: ["practice.md", "a board to practise on, with two exercises"],
  recovery: ["recovery.md", "cards of three steps for when something goes wrong"],
  settings: ["settings.md", "every setting"],
  interlocks: ["interlocks.md", "every interlock"],
  modes: ["modes.md", "the modes and what leads from one to another"],
  plan: ["plan.md", "car files and plans"],
  learn: ["learn.md", "what runs tell of a car, and how a plan learns from it"],
  systems: ["systems.md", "macOS and Windows: what differs"],
  glossary: ["glossary.md", "the words"],
};

interface Options {
  readonly html?: string | undefined;
}

/** A page on the screen, or as a file to print. Undefined when no page has that name. */
async function topicResult(
  session: Session,
  topic: string,
  html: string | undefined,
): Promise<Result | undefined> {
  const page = TOPICS[topic];
  if (!page) return undefined;
  const { readFileSync } = await import("node:fs");
  const { packageFile } = await import("../package-file.ts");
  const { markdownLines } = await import("#host/report/terminal/markdown.ts");
  const [file, meaning] = page;
  const text = readFileSync(packageFile("docs", file), "utf8");
  if (html !== undefined) {
    const { writeNew } = await import("../files.ts");
    const { docsPage } = await import("#host/report/docs/page.ts");
    writeNew(session.io, html, docsPage(`headgate: ${meaning}`, text));
    return {
      data: { topic, meaning, file: html },
      lines: session.wrapped(`wrote ${html}: open it in a browser, and print it`),
    };
  }
  return {
    data: { topic, meaning, file: `docs/${file}`, text },
    lines: markdownLines(text, session.width, session.paint),
  };
}

export const addHelp: AddCommand = (program, act) => {
  const commandNamed = (words: readonly string[]): Command | undefined =>
    words.reduce<Command | undefined>(
      (command, word) => command?.commands.find((one) => one.name() === word) as Command | undefined,
      program as Command,
    );

  async function overview(session: Session): Promise<Result> {
    const { labelled } = await import("#host/report/terminal/wrap.ts");
    const topics = Object.entries(TOPICS).map(([topic, [, meaning]]) => ({ topic, meaning }));
    const lines = topics.flatMap(({ topic, meaning }) =>
      labelled(`  ${topic.padEnd(10)}`, meaning, session.width),
    );
    return {
      data: { topics },
      lines: [program.helpInformation().trimEnd(), "", "Topics, for `headgate help TOPIC`:", ...lines],
    };
  }

  async function help(session: Session, words: readonly string[], { html }: Options): Promise<Result> {
    const [topic = ""] = words;
    if (topic === "") return overview(session);
    const command = commandNamed(words);
    if (command && html === undefined) {
      const text = command.helpInformation();
      const more = TOPICS[topic] ? ["", `There is a page too: headgate help ${topic} page`] : [];
      return { data: { topic, text }, lines: [text.trimEnd(), ...more] };
    }
    const whole = words.length === 1 || words[1] === "page";
    const page = whole ? await topicResult(session, topic, html) : undefined;
    if (page) return page;
    const { nearestName } = await import("#host/units/nearest.ts");
    const known = [...Object.keys(TOPICS), ...program.commands.map((one) => one.name())];
    const nearest = nearestName(topic, known);
    const hint = nearest === undefined ? "" : `; did you mean ${nearest}?`;
    throw new Failure("usage", {
      what: `there is no help on "${words.join(" ")}"${hint}`,
      todo: "`headgate help` lists all topics",
    });
  }

  withCommon(program.command("help"))
    .argument("[topic...]", "a command, or a page of the docs")
    .option("--html <file>", "write a page of the docs as a new file to print")
    .description("show the help of a command, or a page of the docs as text")
    .action(act(help));
};
