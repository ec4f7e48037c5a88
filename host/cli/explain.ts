// `headgate explain [NAME]`: the long form of an error code, an interlock, a rule or a caution, offline.

import type { Page } from "#host/errors/explain.ts";
import { Failure } from "#host/errors/failure.ts";
import type { AddCommand } from "./command.ts";
import { withCommon } from "./options.ts";
import type { Result, Session } from "./session.ts";

async function explain(session: Session, name: string | undefined): Promise<Result> {
  const { allPages, pagesFor } = await import("#host/errors/explain.ts");
  if (name === undefined) return index(session, allPages());
  const pages = pagesFor(name);
  if (pages.length > 0) return { data: { pages }, lines: await pageLines(session, pages) };
  const { nearestName } = await import("#host/units/nearest.ts");
  const nearest = nearestName(
    name,
    allPages().map((page) => page.name),
  );
  const hint = nearest === undefined ? "" : `; did you mean ${nearest}?`;
  throw new Failure("unknown-code", { what: `there is no explanation of "${name}"${hint}`, data: { name } });
}

async function pageLines(session: Session, pages: readonly Page[]): Promise<string[]> {
  const { wrap } = await import("#host/report/terminal/wrap.ts");
  return pages.flatMap((page) => [
    session.paint.strong(`${page.name} (${page.kind})`),
    ...[page.title, ...page.paragraphs].flatMap((text) => [...wrap(text, session.width), ""]),
  ]);
}

async function index(session: Session, pages: readonly Page[]): Promise<Result> {
  const { tableLines } = await import("#host/report/terminal/table.ts");
  const rows = pages.map(({ name, kind, title }) => [name, kind, title] as const);
  const short = rows.map(([name, kind, title]) => [
    name,
    kind,
    title.slice(0, Math.max(10, session.width - 38)),
  ]);
  return {
    data: { pages: rows.map(([name, kind, title]) => ({ name, kind, title })) },
    lines: tableLines(["name", "kind", "meaning"], short, session.width),
  };
}

export const addExplain: AddCommand = (program, act) => {
  withCommon(program.command("explain"))
    .argument("[name]", "error code, interlock, rule or caution")
    .description("explain a name that a message mentions")
    .action(act(explain));
};
