// `headgate explain [NAME]`: the long form of an error code, an interlock, a rule, a caution or a setting, offline.

import type { Page } from "#host/errors/explain.ts";
import { Failure } from "#host/errors/failure.ts";
import type { AddCommand } from "./command.ts";
import { withCommon } from "./options.ts";
import type { Result, Session } from "./session.ts";

async function explain(session: Session, name: string | undefined): Promise<Result> {
  const { allPages, KINDS, pagesFor } = await import("#host/errors/explain.ts");
  const kind = KINDS.find((one) => `${one}s` === name?.toLowerCase());
  if (name === undefined || kind)
    return index(
      session,
      allPages().filter((page) => !kind || page.kind === kind),
    );
  const pages = pagesFor(name);
  if (pages.length === 1) return { data: { pages }, lines: await pageLines(session, pages) };
  if (pages.length > 1) return several(session, name, pages);
  const { nearestName } = await import("#host/units/nearest.ts");
  const nearest = nearestName(
    name,
    allPages().map((page) => page.name),
  );
  const hint = nearest === undefined ? "" : `; did you mean ${nearest}?`;
  throw new Failure("unknown-code", { what: `there is no explanation of "${name}"${hint}`, data: { name } });
}

/** Several settings end with the name: which there are, so that one of them can be asked for. */
async function several(session: Session, name: string, pages: readonly Page[]): Promise<Result> {
  const { data, lines } = await index(session, pages);
  const said = session.wrapped(
    `"${name}" can mean ${pages.length} things; ask for one of them by its whole name:`,
  );
  return { data, lines: [...said, "", ...lines] };
}

async function pageLines(session: Session, pages: readonly Page[]): Promise<string[]> {
  const { wrap } = await import("#host/report/terminal/wrap.ts");
  return pages.flatMap((page) => [
    session.paint.strong(`${page.name} (${page.kind})`),
    ...[page.title, ...page.paragraphs].flatMap((text) => [...wrap(text, session.width), ""]),
  ]);
}

async function index(session: Session, pages: readonly Page[]): Promise<Result> {
  const { labelled } = await import("#host/report/terminal/wrap.ts");
  const rows = pages.map(({ name, kind, title }) => ({ name, kind, title }));
  const names = Math.min(24, Math.max(...rows.map(({ name }) => name.length)));
  const lines = rows.flatMap(({ name, kind, title }) => {
    const label = `${kind.padEnd("interlock".length)} ${name.padEnd(names)}`;
    if (label.length + 24 <= session.width && name.length <= names)
      return labelled(label, title, session.width);
    return [`${kind} ${name}`, ...labelled("   ", title, session.width)];
  });
  return { data: { pages: rows }, lines };
}

export const addExplain: AddCommand = (program, act) => {
  withCommon(program.command("explain"))
    .argument("[name]", "error code, interlock, rule, caution or setting; or one of these in the plural")
    .description("explain a name that a message mentions")
    .action(act(explain));
};
